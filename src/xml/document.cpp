#include "xml/document.h"

#include <cstring>
#include <memory>
#include <optional>

#include <expat.h>

#include "base/diagnostic.h"
#include "base/file.h"
#include "base/text.h"
#include "xml/start_tag.h"

namespace tallyboard {
namespace {

constexpr char separator = '\f';  // between namespace and local name; no XML file can hold one

struct Trouble { std::size_t offset; std::string message; };

// How many bytes the character of a reference such as "&#x3A9;" takes as UTF-8.
std::size_t decoded_length(std::string_view reference) {
    if (!reference.starts_with("&#")) return 1;  // &amp; and its four fellows
    unsigned long code = 0;
    bool hex = reference.size() > 2 && reference[2] == 'x';
    for (char c : reference.substr(hex ? 3 : 2)) {
        if (c == ';') break;
        unsigned long digit = static_cast<unsigned long>(is_digit(c) ? c - '0' : ascii_lower(c) - 'a' + 10);
        code = code * (hex ? 16 : 10) + digit;
    }
    return code < 0x80 ? 1 : code < 0x800 ? 2 : code < 0x10000 ? 3 : 4;
}

// Where each byte of the value stands that `raw` is decoded to, and its end.
std::vector<std::size_t> offsets_in(std::string_view raw, std::size_t begin, std::size_t length) {
    std::vector<std::size_t> offsets;
    offsets.reserve(length + 1);
    for (std::size_t i = 0; i < raw.size();) {
        std::size_t used = 1, makes = 1;
        if (raw[i] == '&') {
            used = raw.find(';', i) + 1 - i;
            makes = decoded_length(raw.substr(i, used));
        } else if (raw.substr(i, 2) == "\r\n") {
            used = 2;
        }
        offsets.insert(offsets.end(), makes, begin + i);
        i += used;
    }
    offsets.resize(length + 1, begin + raw.size());
    return offsets;
}

Written trimmed_field(Written field) {
    std::string_view whole = field.text;
    field.text = trimmed(whole);
    field.lead = field.text.empty() ? 0 : static_cast<std::size_t>(field.text.data() - whole.data());
    return field;
}

class Reader {
public:
    explicit Reader(const SourceText& text) : text_(text), parser_(XML_ParserCreateNS("UTF-8", separator)) {
        if (!parser_) throw std::bad_alloc();
        XML_SetUserData(parser_.get(), this);
        XML_SetElementHandler(parser_.get(), &Reader::on_start, &Reader::on_end);
        XML_SetCharacterDataHandler(parser_.get(), &Reader::on_text);
        XML_SetStartDoctypeDeclHandler(parser_.get(), &Reader::on_doctype);
        XML_SetXmlDeclHandler(parser_.get(), &Reader::on_declaration);
    }

    XmlDocument read() {
        const std::string& bytes = text_.bytes();
        look_at_encoding(bytes);
        auto status = XML_Parse(parser_.get(), bytes.data(), static_cast<int>(bytes.size()), 1);
        if (trouble_) fail(*trouble_);
        if (status != XML_STATUS_OK) fail(not_well_formed());
        return std::move(document_);
    }

private:
    struct Free { void operator()(XML_Parser parser) const { XML_ParserFree(parser); } };

    [[noreturn]] void fail(const Trouble& trouble) const {
        throw InputError({diagnostic_at(Severity::error, text_, trouble.offset, trouble.message)});
    }

    void look_at_encoding(const std::string& bytes) const {
        if (bytes.size() > max_input_bytes) fail({0, "the file is larger than any circuit file is"});
        if (trimmed(bytes).empty() || bytes == "\xEF\xBB\xBF") fail({0, "the file is empty"});
        if (bytes.starts_with("\xFF\xFE") || bytes.starts_with("\xFE\xFF"))
            fail({0, "the file is UTF-16; save it as UTF-8"});
        if (is_valid_utf8(bytes)) return;
        std::size_t offset = 0;
        for (const std::string& character : split_characters(bytes)) {
            if (!is_valid_utf8(character)) break;
            offset += character.size();
        }
        constexpr std::string_view hex = "0123456789ABCDEF";
        auto byte = static_cast<unsigned char>(bytes[offset]);
        fail({offset, std::string("not UTF-8: the byte ") + hex[byte >> 4] + hex[byte & 15] +
                          " begins no character here; save the file as UTF-8"});
    }

    void stop(std::size_t offset, std::string message) {
        if (!trouble_) trouble_ = Trouble{offset, std::move(message)};
        XML_StopParser(parser_.get(), XML_FALSE);
    }

    std::size_t here() const { return static_cast<std::size_t>(XML_GetCurrentByteIndex(parser_.get())); }
    std::string line_of(std::size_t offset) const { return "line " + std::to_string(text_.position(offset).line); }

    // expat's answer as a sentence about what was typed.
    Trouble not_well_formed() const {
        const std::string& bytes = text_.bytes();
        auto at = static_cast<std::size_t>(XML_GetCurrentByteIndex(parser_.get()));
        at = std::min(at, bytes.size());
        char sign = at < bytes.size() ? bytes[at] : '\0';
        XML_Error error = XML_GetErrorCode(parser_.get());
        switch (error) {
            case XML_ERROR_NO_ELEMENTS: case XML_ERROR_UNCLOSED_TOKEN: case XML_ERROR_UNCLOSED_CDATA_SECTION:
            case XML_ERROR_PARTIAL_CHAR: return half_a_file(at, error);
            case XML_ERROR_TAG_MISMATCH: return mismatch(at);
            case XML_ERROR_DUPLICATE_ATTRIBUTE: return {at, "the attribute \"" + word_at(at) + "\" is given twice"};
            case XML_ERROR_UNBOUND_PREFIX: return {at, "a prefix here is bound to no namespace; declare it with xmlns:PREFIX=\"…\""};
            case XML_ERROR_JUNK_AFTER_DOC_ELEMENT: return {at, "something stands after the end of the root element; a file has one root"};
            case XML_ERROR_UNDEFINED_ENTITY: return {unknown_entity(at), "unknown entity; there are &amp; &lt; &gt; &quot; &apos; and &#NUMBER;"};
            case XML_ERROR_BAD_CHAR_REF: return {at, "this reference names no character"};
            case XML_ERROR_MISPLACED_XML_PI: return {at, "the <?xml … ?> declaration must be the very first of the file"};
            case XML_ERROR_INVALID_TOKEN: return stray_sign(at, sign);
            case XML_ERROR_SYNTAX: return {at, "this is no XML"};
            default: return {at, std::string("not well-formed XML: ") + XML_ErrorString(error)};
        }
    }

    Trouble half_a_file(std::size_t at, XML_Error error) const {
        if (error == XML_ERROR_UNCLOSED_TOKEN) return {at, "the file ends within what begins here; is it half a file?"};
        if (open_.empty()) return {at, "the file holds no element"};
        return {text_.bytes().size(), "the file ends before </" + std::string(open_.back().raw) + ">, opened on " +
                                          line_of(open_.back().begin) + "; is it half a file?"};
    }

    Trouble mismatch(std::size_t at) const {
        // expat points behind the "</".
        std::string name = word_at(at);
        return {at, "</" + name + "> stands where </" + std::string(open_.back().raw) + "> is due, opened on " +
                        line_of(open_.back().begin)};
    }

    // expat points at the sign or just behind it.
    Trouble stray_sign(std::size_t at, char sign) const {
        const std::string& bytes = text_.bytes();
        if (at > 0 && bytes[at - 1] == '&') sign = bytes[--at];
        if (at > 3 && bytes.compare(at - 2, 2, "--") == 0 && sign != '>') return {at - 2, "-- may not stand within a comment"};
        if (sign == '<') return {at, "a < may not stand here; is a quote or > missing before it? As text it is written &lt;"};
        if (sign == '&') return {at, "a & by itself is written &amp;"};
        auto code = static_cast<unsigned char>(sign);
        if (code < 0x20 && !is_blank(sign)) return {at, "a control character may not stand in XML"};
        return {at, "this does not belong here; is a quote, = or > missing before it?"};
    }

    // Within an attribute expat points at the tag.
    std::size_t unknown_entity(std::size_t at) const {
        const std::string& bytes = text_.bytes();
        for (std::size_t i = bytes.find('&', at); i != std::string::npos; i = bytes.find('&', i + 1)) {
            bool known = bytes[i + 1] == '#';
            for (std::string_view name : {"amp;", "lt;", "gt;", "quot;", "apos;"}) known = known || bytes.compare(i + 1, name.size(), name) == 0;
            if (!known) return i;
        }
        return at;
    }

    std::string word_at(std::size_t at) const {
        const std::string& bytes = text_.bytes();
        std::size_t end = at;
        while (end < bytes.size() && !is_blank(bytes[end]) && std::strchr("=<>/\"'", bytes[end]) == nullptr) ++end;
        return bytes.substr(at, end - at);
    }

    void start(const char* expanded, const char** values) {
        std::size_t begin = here();
        StartTag tag = scan_start_tag(text_.bytes(), begin);
        open_.push_back({tag.name, begin, tag.empty ? tag.end : 0});
        if (open_.size() > max_depth) return stop(begin, "elements stand more than " + std::to_string(max_depth) + " deep");
        if (skipping_) return;
        std::string_view name = expanded;
        std::size_t cut = name.rfind(separator);
        bool ours = cut != std::string_view::npos && name.substr(0, cut) == circuit_namespace;
        std::string_view local = tag.name.substr(tag.name.find(':') + 1);
        if (!ours && elements_.empty()) return foreign_root(begin, local, cut == std::string_view::npos);
        if (!ours && cut == std::string_view::npos)
            return stop(begin, "<" + std::string(local) + "> is in no namespace; give it the prefix of the root, or take xmlns=\"\" away");
        if (!ours) {
            skipping_ = open_.size();
            return;
        }
        if (++count_ > max_elements) return stop(begin, "the file has more than " + std::to_string(max_elements) + " elements");
        if (tag.attributes.size() > max_attributes)
            return stop(begin, "<" + std::string(local) + "> has more than " + std::to_string(max_attributes) + " attributes");
        Element element;
        element.name = local;
        element.span.begin = begin;
        for (std::size_t i = 0; i < tag.attributes.size(); ++i)
            if (!add_attribute(element, tag.attributes[i], values[2 * i], values[2 * i + 1])) return;
        elements_.push_back(std::move(element));
    }

    void foreign_root(std::size_t begin, std::string_view name, bool none) {
        stop(begin, "the root <" + std::string(name) + "> is " +
                        (none ? "in no namespace" : "of another namespace") + "; a circuit file's has xmlns=\"" +
                        std::string(circuit_namespace) + "\"");
    }

    // An attribute in another namespace is passed over; one with a prefix of ours is kept with it, as a name no element has.
    bool add_attribute(Element& element, Attribute attribute, std::string_view expanded, std::string_view value) {
        if (value.size() > max_attribute_bytes) {
            stop(attribute.name_span.begin, "the attribute " + std::string(attribute.name) + " is longer than " +
                                                std::to_string(max_attribute_bytes >> 10) + " KiB");
            return false;
        }
        std::size_t cut = expanded.rfind(separator);
        if (cut != std::string_view::npos && expanded.substr(0, cut) != circuit_namespace) return true;
        Written& field = attribute.value;
        std::string_view raw = text_.slice(field.span);
        if (raw == value) {
            field.text = raw;
        } else {
            Decoded& decoded = document_.decoded.emplace_back();
            decoded.text = value;
            decoded.offsets = offsets_in(raw, field.span.begin, value.size());
            field.text = decoded.text;
            field.offsets = &decoded.offsets;
        }
        field = trimmed_field(field);
        element.attributes.push_back(attribute);
        return true;
    }

    void end() {
        Open closed = open_.back();
        open_.pop_back();
        if (skipping_) {
            if (skipping_ > open_.size()) skipping_ = 0;
            return;
        }
        Element element = std::move(elements_.back());
        elements_.pop_back();
        element.content_end = closed.empty_end ? closed.empty_end : here();
        element.span.end = closed.empty_end ? closed.empty_end : text_.bytes().find('>', here()) + 1;
        if (elements_.empty()) document_.root = std::move(element);
        else elements_.back().children.push_back(std::move(element));
    }

    void text(std::string_view more) {
        if (skipping_ || elements_.empty()) return;
        Element& element = elements_.back();
        if (!element.has_text) {
            std::string_view begun = trimmed(more);
            if (begun.empty()) return;
            element.has_text = true;
            element.text_begin = here() + static_cast<std::size_t>(begun.data() - more.data());
        }
        element.text += more;
        if (element.text.size() > max_text_bytes)
            stop(here(), "the text of <" + std::string(element.name) + "> is longer than " +
                             std::to_string(max_text_bytes >> 20) + " MiB");
    }

    static void on_start(void* self, const char* name, const char** values) {
        auto reader = static_cast<Reader*>(self);
        if (!reader->trouble_) reader->start(name, values);
    }
    static void on_end(void* self, const char*) {
        auto reader = static_cast<Reader*>(self);
        if (!reader->trouble_) reader->end();
    }
    static void on_text(void* self, const char* bytes, int length) {
        auto reader = static_cast<Reader*>(self);
        if (!reader->trouble_) reader->text({bytes, static_cast<std::size_t>(length)});
    }
    static void on_doctype(void* self, const char*, const char*, const char*, int) {
        auto reader = static_cast<Reader*>(self);
        reader->stop(reader->here(), "a DOCTYPE is not taken: no entities and defaults are needed here; delete it");
    }
    static void on_declaration(void* self, const char*, const char* encoding, int) {
        auto reader = static_cast<Reader*>(self);
        std::string name = encoding ? ascii_lower(encoding) : "utf-8";
        if (name == "utf-8" || name == "utf8" || name == "us-ascii") return;
        reader->stop(reader->here(), std::string("the file says it is ") + encoding + "; save it as UTF-8 and say so");
    }

    // empty_end: behind an empty tag <a/>; 0: it has an end tag of its own.
    struct Open { std::string_view raw; std::size_t begin, empty_end; };

    const SourceText& text_;
    std::unique_ptr<XML_ParserStruct, Free> parser_;
    XmlDocument document_;
    std::vector<Open> open_;          // every element begun, of whatever namespace
    std::vector<Element> elements_;   // those of ours, the root first
    std::size_t skipping_ = 0;        // the depth of a foreign element whose contents are passed over
    std::size_t count_ = 0;
    std::optional<Trouble> trouble_;
};

}  // namespace

const Written& Element::operator[](std::string_view attribute) const {
    static const Written none;
    for (const Attribute& a : attributes)
        if (a.name == attribute) return a.value;
    return none;
}

Written Element::content() const {
    Written field;
    field.text = trimmed(text);
    field.given = true;
    field.span = {has_text ? text_begin : span.begin, content_end};
    return field;
}

XmlDocument read_document(const SourceText& text) { return Reader(text).read(); }

}  // namespace tallyboard
