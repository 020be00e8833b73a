#include "xml/start_tag.h"

#include "base/text.h"

namespace tallyboard {

StartTag scan_start_tag(std::string_view bytes, std::size_t begin) {
    StartTag tag;
    std::size_t i = begin + 1;
    auto name = [&] {
        std::size_t from = i;
        while (!is_blank(bytes[i]) && bytes[i] != '=' && bytes[i] != '>' && bytes[i] != '/') ++i;
        return Span{from, i};
    };
    auto skip_blanks = [&] { while (is_blank(bytes[i])) ++i; };
    auto text = [&](Span span) { return bytes.substr(span.begin, span.end - span.begin); };
    tag.name = text(name());
    tag.attributes_end = i;
    for (skip_blanks(); bytes[i] != '>' && bytes[i] != '/'; skip_blanks()) {
        Attribute attribute;
        attribute.name_span = name();
        attribute.name = text(attribute.name_span);
        skip_blanks();
        ++i;  // =
        skip_blanks();
        char quote = bytes[i++];
        std::size_t end = bytes.find(quote, i);
        attribute.value.span = {i, end};
        attribute.value.given = true;
        tag.attributes_end = i = end + 1;
        if (attribute.name != "xmlns" && !attribute.name.starts_with("xmlns:")) tag.attributes.push_back(attribute);
    }
    tag.empty = bytes[i] == '/';
    tag.end = i + (tag.empty ? 2 : 1);
    return tag;
}

}  // namespace tallyboard
