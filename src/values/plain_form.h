#pragma once

#include <cstddef>
#include <string>
#include <string_view>
#include <vector>

namespace tallyboard::detail {

// A value's text with every sign that the trade writes in several ways brought to one ASCII form: µ μ to u, Ω Ω ω to "ohm",
// raised dots to a point, ½ to .5, typographic minus, blanks and multiplication signs to plain ones, ± to +/-. Each character
// knows where it came from, so that what is printed stays as written.
struct PlainForm {
    std::string written;              // white space collapsed, else as written
    std::string text;                 // the plain form
    std::vector<std::size_t> origin;  // text[i] stems from written[origin[i]]; one entry more, for the end
    // What was written for text[begin, end).
    std::string as_written(std::size_t begin, std::size_t end) const;
};
PlainForm plain_form(std::string_view text);

}  // namespace tallyboard::detail
