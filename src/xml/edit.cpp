#include "xml/edit.h"

#include <algorithm>
#include <optional>
#include <stdexcept>

#include "base/text.h"
#include "xml/start_tag.h"

namespace tallyboard {
namespace {

// The white space that the line of `offset` begins with; nothing if that line begins before `from`.
std::optional<std::string_view> indentation_of(std::string_view bytes, std::size_t offset, std::size_t from = 0) {
    std::size_t begin = offset;
    while (begin > from && bytes[begin - 1] != '\n' && bytes[begin - 1] != '\r') --begin;
    if (begin == from && from > 0) return std::nullopt;
    std::size_t end = begin;
    while (end < offset && (bytes[end] == ' ' || bytes[end] == '\t')) ++end;
    return bytes.substr(begin, end - begin);
}

// The line end the file uses: that before `offset`, else the first there is.
std::string_view line_end(std::string_view bytes, std::size_t offset) {
    std::size_t at = bytes.rfind('\n', offset);
    if (at == std::string_view::npos) at = bytes.find('\n');
    if (at != std::string_view::npos) return at > 0 && bytes[at - 1] == '\r' ? "\r\n" : "\n";
    return bytes.find('\r') != std::string_view::npos ? "\r" : "\n";
}

// `child` with each further line of it indented as the first.
std::string indented(std::string_view child, std::string_view end_of_line, std::string_view indentation) {
    std::string out;
    for (const std::string& line : split(child, '\n')) {
        if (!out.empty()) out.append(end_of_line).append(line.empty() ? std::string_view() : indentation);
        out += line;
    }
    return out;
}

// One step of indentation, taken from how the parent's line stands against its own parent's; two blanks where nothing shows it.
std::string step_of(std::string_view bytes) {
    // The first line of the file that begins with blanks shows how wide a step is here.
    for (std::size_t at = bytes.find('\n'); at != std::string_view::npos; at = bytes.find('\n', at + 1)) {
        std::size_t end = bytes.find_first_not_of(" \t", at + 1);
        if (end == std::string_view::npos || end == at + 1 || bytes[end] == '\n' || bytes[end] == '\r') continue;
        if (bytes[end] == '<') return std::string(bytes.substr(at + 1, end - at - 1));
    }
    return "  ";
}

const Attribute* find_attribute(const StartTag& tag, std::string_view name) {
    for (const Attribute& a : tag.attributes)
        if (a.name == name) return &a;
    return nullptr;
}

// Where the children of an element end, and where its last child or comment does, by walking its contents.
struct Contents {
    std::size_t begin = 0;        // behind the start tag
    std::size_t end = 0;          // where the end tag begins
    std::size_t last_child = 0;   // behind the last child or comment; `begin` where there is none
    std::size_t last_child_begin = 0;
};

std::size_t behind(std::string_view bytes, std::string_view mark, std::size_t from) {
    std::size_t at = bytes.find(mark, from);
    if (at == std::string_view::npos) throw std::logic_error("an edit of a text that is not well-formed");
    return at + mark.size();
}

Contents contents_of(std::string_view bytes, const StartTag& tag) {
    Contents c{tag.end, tag.end, tag.end, tag.end};
    std::size_t depth = 0, opened = 0;
    for (std::size_t i = tag.end;;) {
        i = behind(bytes, "<", i) - 1;
        if (bytes.substr(i, 4) == "<!--" || bytes.substr(i, 2) == "<?" || bytes.substr(i, 9) == "<![CDATA[") {
            bool text = bytes[i + 2] == '[';
            std::size_t end = behind(bytes, text ? "]]>" : bytes[i + 1] == '?' ? "?>" : "-->", i);
            if (depth == 0 && !text) c.last_child = end, c.last_child_begin = i;
            i = end;
        } else if (bytes[i + 1] == '/') {
            if (depth == 0) {
                c.end = i;
                return c;
            }
            std::size_t end = behind(bytes, ">", i);
            if (--depth == 0) c.last_child = end, c.last_child_begin = opened;
            i = end;
        } else {
            StartTag child = scan_start_tag(bytes, i);
            if (depth == 0) opened = i;
            if (!child.empty) ++depth;
            else if (depth == 0) c.last_child = child.end, c.last_child_begin = i;
            i = child.end;
        }
    }
}

}  // namespace

std::string spliced(const SourceText& source, std::vector<Edit> edits) {
    std::stable_sort(edits.begin(), edits.end(), [](const Edit& a, const Edit& b) {
        // What is inserted at an offset comes before what replaces the bytes from there on.
        return std::pair(a.span.begin, a.span.end > a.span.begin) < std::pair(b.span.begin, b.span.end > b.span.begin);
    });
    const std::string& bytes = source.bytes();
    std::string out;
    std::size_t at = 0;
    for (const Edit& edit : edits) {
        if (edit.span.begin < at || edit.span.end < edit.span.begin || edit.span.end > bytes.size())
            throw std::logic_error("two edits of one text overlap");
        out.append(bytes, at, edit.span.begin - at);
        out += edit.text;
        at = edit.span.end;
    }
    return out.append(bytes, at, std::string::npos);
}

std::string escaped_attribute(std::string_view text, char quote) {
    std::string out;
    for (char c : text) {
        if (c == '&') out += "&amp;";
        else if (c == '<') out += "&lt;";
        else if (c == quote) out += quote == '"' ? "&quot;" : "&apos;";
        else if (c == '\n') out += "&#10;";
        else if (c == '\r') out += "&#13;";
        else if (c == '\t') out += "&#9;";
        else out += c;
    }
    return out;
}

std::string escaped_content(std::string_view text) {
    std::string out;
    for (char c : text) {
        if (c == '&') out += "&amp;";
        else if (c == '<') out += "&lt;";
        else if (c == '>') out += "&gt;";  // "]]>" may not stand in text
        else if (c == '\r') out += "&#13;";
        else out += c;
    }
    return out;
}

Edit set_attribute(const SourceText& source, Span element, std::string_view name, std::string_view value) {
    StartTag tag = scan_start_tag(source.bytes(), element.begin);
    if (const Attribute* attribute = find_attribute(tag, name)) {
        Span span = attribute->value.span;
        return {span, escaped_attribute(value, source.bytes()[span.begin - 1])};
    }
    return {{tag.attributes_end, tag.attributes_end}, " " + std::string(name) + "=\"" + escaped_attribute(value) + "\""};
}

Edit remove_attribute(const SourceText& source, Span element, std::string_view name) {
    StartTag tag = scan_start_tag(source.bytes(), element.begin);
    const Attribute* attribute = find_attribute(tag, name);
    if (!attribute) return {{tag.attributes_end, tag.attributes_end}, ""};
    std::size_t begin = attribute->name_span.begin;
    while (is_blank(source.bytes()[begin - 1])) --begin;
    return {{begin, attribute->value.span.end + 1}, ""};
}

Edit remove_element(const SourceText& source, Span element) {
    std::size_t begin = element.begin;
    const std::string& bytes = source.bytes();
    while (begin > 0 && is_blank(bytes[begin - 1])) --begin;
    return {{begin, element.end}, ""};
}

Edit append_child(const SourceText& source, Span parent, std::string_view child) {
    const std::string& bytes = source.bytes();
    StartTag tag = scan_start_tag(bytes, parent.begin);
    std::string_view end_of_line = line_end(bytes, parent.begin);
    std::string own(*indentation_of(bytes, parent.begin));
    std::string deeper = own + step_of(bytes);
    std::string on_its_line = std::string(end_of_line) + deeper + indented(child, end_of_line, deeper);
    if (tag.empty) {  // <a/>: becomes <a>, the child and </a> on their lines
        return {{tag.attributes_end, tag.end}, ">" + on_its_line + std::string(end_of_line) + own + "</" + std::string(tag.name) + ">"};
    }
    Contents contents = contents_of(bytes, tag);
    if (contents.last_child == contents.begin) {
        bool only_blank = trimmed(std::string_view(bytes).substr(contents.begin, contents.end - contents.begin)).empty();
        std::size_t from = only_blank ? contents.begin : contents.end;
        return {{from, contents.end}, on_its_line + std::string(end_of_line) + own};
    }
    if (auto siblings = indentation_of(bytes, contents.last_child_begin, contents.begin))
        return {{contents.last_child, contents.last_child},
                std::string(end_of_line) + std::string(*siblings) + indented(child, end_of_line, *siblings)};
    // All on one line: it stays one line.
    return {{contents.last_child, contents.last_child}, std::string(child)};
}

Edit insert_behind(const SourceText& source, Span sibling, std::string_view element) {
    const std::string& bytes = source.bytes();
    std::string_view indentation = *indentation_of(bytes, sibling.begin);
    std::string_view end_of_line = line_end(bytes, sibling.begin);
    return {{sibling.end, sibling.end},
            std::string(end_of_line) + std::string(indentation) + indented(element, end_of_line, indentation)};
}

}  // namespace tallyboard
