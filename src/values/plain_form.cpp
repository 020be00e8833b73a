#include "values/plain_form.h"

#include <array>
#include <utility>

#include "base/text.h"

namespace tallyboard::detail {

namespace {

constexpr std::array<std::pair<std::string_view, std::string_view>, 31> plain_signs{{
    {"µ", "u"}, {"μ", "u"},                                                      // U+00B5, U+03BC
    {"Ω", "ohm"}, {"\u2126", "ohm"}, {"ω", "ohm"},                               // U+03A9, U+2126, U+03C9
    {"·", "."}, {"•", "."}, {"∙", "."}, {"⋅", "."}, {"‧", "."},                  // the raised dot
    {"½", ".5"}, {"¼", ".25"}, {"¾", ".75"}, {"⅛", ".125"}, {"⅜", ".375"},
    {"−", "-"}, {"–", "-"}, {"‐", "-"}, {"‑", "-"}, {"—", "-"},
    {"×", "x"}, {"±", "+/-"}, {"∗", "*"}, {"∶", ":"},
    {"\u00A0", " "}, {"\u2007", " "}, {"\u2008", " "}, {"\u2009", " "}, {"\u200A", " "}, {"\u202F", " "}, {"\u2006", " "},
}};

std::string_view plain_sign(std::string_view character) {
    for (const auto& [sign, plain] : plain_signs)
        if (sign == character) return plain;
    return character;
}

}  // namespace

PlainForm plain_form(std::string_view text) {
    PlainForm form;
    form.written = collapsed(text);
    std::size_t offset = 0;
    for (const std::string& character : split_characters(form.written)) {
        for (char c : plain_sign(character)) {
            const bool second_blank = c == ' ' && (form.text.empty() || form.text.back() == ' ');
            if (second_blank) continue;
            form.text += c;
            form.origin.push_back(offset);
        }
        offset += character.size();
    }
    if (!form.text.empty() && form.text.back() == ' ') {
        form.text.pop_back();
        offset = form.origin.back();
        form.origin.pop_back();
    }
    form.origin.push_back(offset);
    return form;
}

std::string PlainForm::as_written(std::size_t begin, std::size_t end) const {
    return std::string(trimmed(std::string_view(written).substr(origin[begin], origin[end] - origin[begin])));
}

}  // namespace tallyboard::detail
