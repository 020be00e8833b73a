#include "xml/xml_writer.h"

#include "xml/edit.h"

namespace tallyboard {

void XmlWriter::start(std::string_view name, const std::vector<Field>& fields) {
    indent();
    out_.append("<").append(name);
    for (const auto& [field, value] : fields)
        if (!value.empty()) out_.append(" ").append(field).append("=\"").append(escaped_attribute(value)).append("\"");
}

void XmlWriter::open(std::string_view name, const std::vector<Field>& fields) {
    start(name, fields);
    out_ += ">\n";
    names_.emplace_back(name);
}

void XmlWriter::close() {
    std::string name = std::move(names_.back());
    names_.pop_back();
    indent();
    out_ += "</" + name + ">\n";
}

void XmlWriter::empty(std::string_view name, const std::vector<Field>& fields) {
    start(name, fields);
    out_ += "/>\n";
}

void XmlWriter::text(std::string_view name, std::string_view text, const std::vector<Field>& fields) {
    if (text.empty()) return;
    start(name, fields);
    out_.append(">").append(escaped_content(text)).append("</").append(name).append(">\n");
}

void XmlWriter::raw(std::string_view line) {
    indent();
    out_.append(line).append("\n");
}

std::string XmlWriter::take() {
    std::string out = std::move(out_);
    out_.clear();
    return out;
}

}  // namespace tallyboard
