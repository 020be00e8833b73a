#include "circuit/unknown_kind.h"

#include "base/text.h"

namespace tallyboard {
namespace {

constexpr std::pair<std::string_view, std::string_view> also_called[] = {
    {"transistor", "npn or pnp"}, {"valve", "triode or pentode"}, {"tube", "triode or pentode"}, {"pot", "potentiometer"}, {"cap", "capacitor"},
    {"mosfet", "nmos or pmos"}, {"fet", "njfet or pjfet"}, {"jfet", "njfet or pjfet"}, {"connector", "jack or terminal"}, {"choke", "inductor"}};

}  // namespace

std::string unknown_kind(const Diagnoses& diagnoses, std::size_t offset, std::string_view word, const KindTable& kinds) {
    const std::string plain = ascii_lower(word);
    for (const auto& [called, write] : also_called)
        if (plain == called) return "unknown kind \"" + std::string(word) + "\"; write " + std::string(write);
    return diagnoses.unknown(offset, "kind", word, [&] { return kinds.names(); });
}

}  // namespace tallyboard
