#include "base/text.h"

#include <algorithm>

namespace tallyboard {

std::string ascii_lower(std::string_view text) {
    std::string out(text);
    for (char& c : out) c = ascii_lower(c);
    return out;
}

std::string_view trimmed(std::string_view text) {
    while (!text.empty() && is_blank(text.front())) text.remove_prefix(1);
    while (!text.empty() && is_blank(text.back())) text.remove_suffix(1);
    return text;
}

std::vector<std::string> split_words(std::string_view text) {
    std::vector<std::string> words;
    std::size_t i = 0;
    while (i < text.size()) {
        while (i < text.size() && is_blank(text[i])) ++i;
        std::size_t begin = i;
        while (i < text.size() && !is_blank(text[i])) ++i;
        if (i > begin) words.emplace_back(text.substr(begin, i - begin));
    }
    return words;
}

std::string collapsed(std::string_view text) { return join(split_words(text), " "); }

std::vector<std::string> split(std::string_view text, char separator) {
    std::vector<std::string> pieces;
    std::size_t begin = 0;
    while (true) {
        std::size_t end = text.find(separator, begin);
        pieces.emplace_back(text.substr(begin, end == std::string_view::npos ? end : end - begin));
        if (end == std::string_view::npos) return pieces;
        begin = end + 1;
    }
}

std::string join(const std::vector<std::string>& pieces, std::string_view between) {
    std::string out;
    for (std::size_t i = 0; i < pieces.size(); ++i) {
        if (i > 0) out += between;
        out += pieces[i];
    }
    return out;
}

std::string join_words(const std::vector<std::string>& pieces, std::string_view last) {
    std::string out;
    for (std::size_t i = 0; i < pieces.size(); ++i) {
        if (i > 0) out += i + 1 == pieces.size() ? " " + std::string(last) + " " : std::string(", ");
        out += pieces[i];
    }
    return out;
}

std::vector<std::string> split_characters(std::string_view text) {
    std::vector<std::string> out;
    for (std::size_t i = 0; i < text.size();) {
        std::size_t end = i + 1;
        if ((static_cast<unsigned char>(text[i]) & 0xC0) == 0xC0)
            while (end < text.size() && (static_cast<unsigned char>(text[end]) & 0xC0) == 0x80) ++end;
        out.emplace_back(text.substr(i, end - i));
        i = end;
    }
    return out;
}

std::size_t count_characters(std::string_view text) { return split_characters(text).size(); }

bool is_valid_utf8(std::string_view text) {
    // Well-formed byte sequences, Unicode 15, table 3-7.
    for (std::size_t i = 0; i < text.size();) {
        auto byte = [&](std::size_t k) { return k < text.size() ? static_cast<unsigned char>(text[k]) : 0u; };
        unsigned lead = byte(i);
        std::size_t more = lead < 0x80 ? 0 : lead >= 0xC2 && lead <= 0xDF ? 1 : (lead & 0xF0) == 0xE0 ? 2
                         : lead >= 0xF0 && lead <= 0xF4 ? 3 : 9;
        if (more == 9) return false;
        unsigned low = lead == 0xE0 ? 0xA0 : lead == 0xF0 ? 0x90 : 0x80;
        unsigned high = lead == 0xED ? 0x9F : lead == 0xF4 ? 0x8F : 0xBF;
        for (std::size_t k = 1; k <= more; ++k) {
            if (byte(i + k) < low || byte(i + k) > high) return false;
            low = 0x80, high = 0xBF;
        }
        i += more + 1;
    }
    return true;
}

bool natural_less(std::string_view a, std::string_view b) {
    std::size_t i = 0, j = 0;
    while (i < a.size() && j < b.size()) {
        if (is_digit(a[i]) && is_digit(b[j])) {
            std::size_t i0 = i, j0 = j;
            while (i0 < a.size() && a[i0] == '0') ++i0;
            while (j0 < b.size() && b[j0] == '0') ++j0;
            std::size_t i1 = i0, j1 = j0;
            while (i1 < a.size() && is_digit(a[i1])) ++i1;
            while (j1 < b.size() && is_digit(b[j1])) ++j1;
            if (i1 - i0 != j1 - j0) return i1 - i0 < j1 - j0;
            int order = a.substr(i0, i1 - i0).compare(b.substr(j0, j1 - j0));
            if (order != 0) return order < 0;
            i = i1, j = j1;
        } else {
            auto x = static_cast<unsigned char>(a[i]), y = static_cast<unsigned char>(b[j]);
            if (x != y) return x < y;
            ++i, ++j;
        }
    }
    if (i < a.size() || j < b.size()) return i == a.size();
    return a < b;
}

std::string counted(std::size_t count, std::string_view singular, std::string_view plural) {
    std::string out = std::to_string(count) + " ";
    if (count == 1) return out.append(singular);
    return plural.empty() ? out.append(singular).append("s") : out.append(plural);
}

}  // namespace tallyboard
