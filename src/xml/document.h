// A file's elements and attributes in the circuit namespace, each with its bytes in the text. Other namespaces are left out.
#pragma once

#include <deque>
#include <string>
#include <string_view>
#include <vector>

#include "base/source_text.h"
#include "circuit/rows.h"

namespace tallyboard {

constexpr std::string_view circuit_namespace = "urn:tallyboard:circuit:1";

// Limits, each far beyond what a hand or a program would write for a real board; more is a wrong or hostile file.
constexpr std::size_t max_depth = 64;                 // a <found> stands at depth 3
constexpr std::size_t max_attribute_bytes = 1 << 16;  // the pins of an ic with hundreds of them take a few kilobytes
constexpr std::size_t max_text_bytes = 1 << 20;       // of one element, comments not counted
constexpr std::size_t max_elements = 2'000'000;       // 100,000 parts with all that is known of them
constexpr std::size_t max_attributes = 64;            // of one element

struct Attribute {
    std::string_view name;
    Written value;
    Span name_span;
};

struct Element {
    std::string_view name;         // without prefix
    Span span;                     // from the < of its start tag to behind the > of its end
    std::size_t content_end = 0;   // where its end tag begins; of <a/>: its end
    std::string text;              // its own character data
    std::size_t text_begin = 0;    // where the first of it that is not white space stands
    bool has_text = false;         // something else than white space
    std::vector<Attribute> attributes;
    std::vector<Element> children;

    // The attribute, or a field that is not given.
    const Written& operator[](std::string_view attribute) const;
    // The text as a field: trimmed, given if the element is there at all.
    Written content() const;
};

// Escapes make a value's bytes differ from the file's: the decoded text, and where each of its bytes (and its end) stands.
struct Decoded {
    std::string text;
    std::vector<std::size_t> offsets;
};

struct XmlDocument {
    Element root;
    std::deque<Decoded> decoded;   // what fields point to where the file's bytes will not do
};

// Reads the text as XML 1.0 with namespaces. InputError, with one diagnostic, for what is not well-formed, not UTF-8, has a
// DOCTYPE, exceeds a limit or whose root is not in the circuit namespace. The text must outlive the document.
XmlDocument read_document(const SourceText& text);

}  // namespace tallyboard
