#pragma once

#include <string>
#include <string_view>
#include <utility>
#include <vector>

namespace tallyboard {

// Builds XML text two blanks a level, one element a line. Fields that are empty are left out.
class XmlWriter {
public:
    using Field = std::pair<std::string_view, std::string>;

    void open(std::string_view name, const std::vector<Field>& fields = {});
    void close();
    void empty(std::string_view name, const std::vector<Field>& fields);
    // <name fields>text</name>; nothing where the text is empty.
    void text(std::string_view name, std::string_view text, const std::vector<Field>& fields = {});
    void raw(std::string_view line);
    // The text so far; the writer is empty afterwards.
    std::string take();

private:
    void start(std::string_view name, const std::vector<Field>& fields);
    void indent() { out_.append(2 * names_.size(), ' '); }

    std::string out_;
    std::vector<std::string> names_;
};

}  // namespace tallyboard
