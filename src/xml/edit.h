#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "base/source_text.h"

namespace tallyboard {

// Replace the bytes of `span` (empty: insert) by `text`, which is XML ready to stand there.
struct Edit { Span span; std::string text; };

// The text with all edits carried out; edits may be given in any order. Edits that insert at one offset keep their order.
// std::logic_error if two overlap.
std::string spliced(const SourceText& source, std::vector<Edit> edits);

// Text as it may stand in an attribute quoted by `quote`, or in element content.
std::string escaped_attribute(std::string_view text, char quote = '"');
std::string escaped_content(std::string_view text);

// Sets an attribute of the element whose start tag begins at element.begin: the value in place where the attribute stands, else
// a new attribute behind the last one..
Edit set_attribute(const SourceText& source, Span element, std::string_view name, std::string_view value);
Edit remove_attribute(const SourceText& source, Span element, std::string_view name);
// Takes the element out with the white space before it.
Edit remove_element(const SourceText& source, Span element);
// Adds a child behind the last child of the element that spans `parent`, on a line of its own in the indentation of its
// siblings (four cases: no children, empty tag `<a/>`, one line, many lines). `child` is XML without indentation.
Edit append_child(const SourceText& source, Span parent, std::string_view child);
// Puts `element` on a line of its own behind the element `sibling`, in its indentation.
Edit insert_behind(const SourceText& source, Span sibling, std::string_view element);

}  // namespace tallyboard
