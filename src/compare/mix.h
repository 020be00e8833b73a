#pragma once

#include <cstdint>
#include <string_view>

// Fixed 64-bit mixing for colours: the same on every machine. Colours only ever suggest; what they suggest is checked.
namespace tallyboard::detail {

// The finaliser of splitmix64 (Steele, Lea, Flood 2014).
constexpr std::uint64_t mix(std::uint64_t x) {
    x += 0x9e3779b97f4a7c15u;
    x = (x ^ (x >> 30)) * 0xbf58476d1ce4e5b9u;
    x = (x ^ (x >> 27)) * 0x94d049bb133111ebu;
    return x ^ (x >> 31);
}
constexpr std::uint64_t mix(std::uint64_t a, std::uint64_t b) { return mix(mix(a) + b); }

constexpr std::uint64_t hash_text(std::string_view text) {
    std::uint64_t out = text.size();
    for (char c : text) out = mix(out, static_cast<unsigned char>(c));
    return out;
}

// A repeatable stream of random numbers: counted, never seeded by a clock.
class Random {
public:
    explicit Random(std::uint64_t seed) : state_(mix(seed)) {}
    std::uint64_t next() { return mix(state_ += 0x9e3779b97f4a7c15u); }
    // 0 … n - 1
    int below(int n) { return static_cast<int>((next() >> 33) * static_cast<std::uint64_t>(n) >> 31); }

private:
    std::uint64_t state_;
};

}  // namespace tallyboard::detail
