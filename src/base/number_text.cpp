#include "base/number_text.h"

#include <charconv>
#include <cmath>
#include <stdexcept>

namespace tallyboard {
namespace {

void require_finite(double number) {
    if (!std::isfinite(number)) throw std::logic_error("a number that is not finite was to be written");
}

}  // namespace

std::string shortest_text(double number) {
    require_finite(number);
    char buffer[64];
    auto end = std::to_chars(buffer, buffer + sizeof buffer, number == 0 ? 0.0 : number).ptr;
    return {buffer, end};
}

std::string fixed_text(double number, int places) {
    require_finite(number);
    char buffer[400];
    auto end = std::to_chars(buffer, buffer + sizeof buffer, number, std::chars_format::fixed, places).ptr;
    std::string out(buffer, end);
    if (out.starts_with('-') && out.find_first_not_of("-0.") == std::string::npos) out.erase(0, 1);
    return out;
}

std::string rounded_text(double number, int digits) {
    require_finite(number);
    if (number == 0) return "0";
    int exponent = static_cast<int>(std::floor(std::log10(std::fabs(number))));
    int places = digits - 1 - exponent;
    if (places < 0) {
        double step = std::pow(10.0, -places);
        return fixed_text(std::round(number / step) * step, 0);
    }
    std::string out = fixed_text(number, places);
    if (out.find('.') != std::string::npos) {
        while (out.back() == '0') out.pop_back();
        if (out.back() == '.') out.pop_back();
    }
    return out;
}

std::optional<double> read_double(std::string_view text) {
    if (text.starts_with('+')) text.remove_prefix(1);
    double number = 0;
    auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), number);
    if (error != std::errc() || end != text.data() + text.size() || !std::isfinite(number)) return std::nullopt;
    return number;
}

std::optional<long long> read_integer(std::string_view text) {
    long long number = 0;
    auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), number);
    if (text.empty() || error != std::errc() || end != text.data() + text.size()) return std::nullopt;
    return number;
}

}  // namespace tallyboard
