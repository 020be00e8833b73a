#include "xml/csv_table.h"

#include <algorithm>

#include "base/text.h"

namespace tallyboard {
namespace {

constexpr std::size_t max_columns = 64;

// The delimiter that the first row uses most, outside quotes; a comma where it has one column.
char delimiter_of(std::string_view bytes) {
    std::size_t commas = 0, semicolons = 0, tabs = 0;
    bool quoted = false;
    for (char c : bytes) {
        if (c == '"') quoted = !quoted;
        if (quoted) continue;
        if (c == '\n' || c == '\r') break;
        commas += c == ',';
        semicolons += c == ';';
        tabs += c == '\t';
    }
    if (semicolons > commas && semicolons >= tabs) return ';';
    return tabs > commas ? '\t' : ',';
}

class TableReader {
public:
    TableReader(const SourceText& text, Diagnoses& diagnoses) : bytes_(text.bytes()), diagnoses_(diagnoses) {}

    CsvTable read() {
        if (bytes_.starts_with("\xEF\xBB\xBF")) at_ = 3;
        table_.delimiter = delimiter_of(bytes_.substr(at_));
        while (at_ < bytes_.size()) row();
        return std::move(table_);
    }

private:
    void row() {
        std::vector<Written> cells;
        do {
            cells.push_back(cell());
        } while (at_ < bytes_.size() && bytes_[at_] == table_.delimiter && ++at_);
        if (at_ < bytes_.size() && bytes_[at_] == '\r') ++at_;
        if (at_ < bytes_.size() && bytes_[at_] == '\n') ++at_;
        bool blank = std::all_of(cells.begin(), cells.end(), [](const Written& c) { return c.text.empty(); });
        if (blank) return;
        std::size_t columns = table_.rows.empty() ? max_columns : table_.rows.front().size();
        if (cells.size() > columns) {
            bool surplus = std::any_of(cells.begin() + static_cast<std::ptrdiff_t>(columns), cells.end(),
                                       [](const Written& c) { return !c.text.empty(); });
            if (surplus)
                diagnoses_.error(cells[columns].at(), "this row has " + std::to_string(cells.size()) + " fields, the first row " +
                                                          std::to_string(columns) + "; is a field with " + delimiter_words() +
                                                          " in it to be quoted?");
            cells.resize(columns);
        }
        table_.rows.push_back(std::move(cells));
    }

    std::string delimiter_words() const {
        return table_.delimiter == '\t' ? "a tab" : table_.delimiter == ';' ? "a semicolon" : "a comma";
    }

    bool ends_cell(char c) const { return c == table_.delimiter || c == '\n' || c == '\r'; }

    Written cell() {
        if (at_ < bytes_.size() && bytes_[at_] == '"') return quoted_cell();
        Written cell;
        cell.span.begin = at_;
        while (at_ < bytes_.size() && !ends_cell(bytes_[at_])) {
            if (bytes_[at_] == '"' && !told_quote_) {
                diagnoses_.error(at_, "a quote stands in a field that is not quoted; quote the whole field and double the quote");
                told_quote_ = true;
            }
            ++at_;
        }
        told_quote_ = false;
        cell.span.end = at_;
        return finished(cell, bytes_.substr(cell.span.begin, at_ - cell.span.begin));
    }

    Written quoted_cell() {
        std::size_t opened = at_++;
        Decoded decoded;
        while (true) {
            if (at_ >= bytes_.size()) {
                diagnoses_.error(opened, "this quote is not closed");
                break;
            }
            if (bytes_[at_] == '"') {
                if (at_ + 1 < bytes_.size() && bytes_[at_ + 1] == '"') ++at_;
                else break;
            }
            decoded.text += bytes_[at_];
            decoded.offsets.push_back(at_++);
        }
        decoded.offsets.push_back(at_);
        if (at_ < bytes_.size()) ++at_;
        Written cell;
        cell.span = {opened, at_};
        if (at_ < bytes_.size() && !ends_cell(bytes_[at_])) {
            diagnoses_.error(at_, "something stands behind the closing quote");
            while (at_ < bytes_.size() && !ends_cell(bytes_[at_])) ++at_;
        }
        table_.decoded.push_back(std::move(decoded));
        cell.offsets = &table_.decoded.back().offsets;
        return finished(cell, table_.decoded.back().text);
    }

    static Written finished(Written cell, std::string_view whole) {
        cell.text = trimmed(whole);
        cell.lead = cell.text.empty() ? 0 : static_cast<std::size_t>(cell.text.data() - whole.data());
        cell.given = !cell.text.empty();
        return cell;
    }

    std::string_view bytes_;
    Diagnoses& diagnoses_;
    CsvTable table_;
    std::size_t at_ = 0;
    bool told_quote_ = false;
};

}  // namespace

CsvTable read_csv_table(const SourceText& text, Diagnoses& diagnoses) { return TableReader(text, diagnoses).read(); }

std::string csv_field(std::string_view text, char delimiter) {
    bool plain = text.find_first_of("\"\r\n") == std::string_view::npos && text.find(delimiter) == std::string_view::npos &&
                 text == trimmed(text);
    if (plain) return std::string(text);
    std::string out = "\"";
    for (char c : text) {
        if (c == '"') out += '"';
        out += c;
    }
    return out + '"';
}

}  // namespace tallyboard
