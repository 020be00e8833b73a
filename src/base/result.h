// base: what every folder may use: results that may fail, diagnostics with a place, text with positions, files, numbers
// as text. It knows nothing of circuits.
#pragma once

#include <stdexcept>
#include <string>
#include <utility>
#include <variant>

namespace tallyboard {

// Why something could not be understood, in words that can follow "error: ".
struct Failure {
    std::string why;
};

// A value, or the reason in words why there is none: for texts that may be wrong, where failing is an ordinary answer
// and the caller knows the place. Members are named as in std::expected so that it can be swapped in later.
template <class T>
class [[nodiscard]] Result {
public:
    Result(T value) : state_(std::move(value)) {}
    Result(Failure failure) : state_(std::move(failure)) {}

    bool has_value() const { return std::holds_alternative<T>(state_); }
    explicit operator bool() const { return has_value(); }

    // The value; std::logic_error if there is none (a mistake of the caller's, not of the input).
    const T& value() const& {
        if (!has_value()) throw std::logic_error("value of a failed result: " + error());
        return std::get<T>(state_);
    }
    T&& value() && {
        if (!has_value()) throw std::logic_error("value of a failed result: " + error());
        return std::get<T>(std::move(state_));
    }
    const T& operator*() const& { return value(); }
    const T* operator->() const { return &value(); }
    const std::string& error() const { return std::get<Failure>(state_).why; }

private:
    std::variant<T, Failure> state_;
};

}  // namespace tallyboard
