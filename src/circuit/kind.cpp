#include "circuit/kind.h"

#include "base/text.h"

namespace tallyboard {
namespace {

constexpr std::string_view unmarked = " \t-";  // what type numbers may add or leave out freely

// How many bytes of `text` spell `word`, both without regard to case, blanks and hyphens; nothing where it does not begin so.
std::optional<std::size_t> spelled_at_front(std::string_view text, std::string_view word) {
    std::size_t i = 0;
    for (char c : word) {
        if (unmarked.find(c) != std::string_view::npos) continue;
        while (i < text.size() && unmarked.find(text[i]) != std::string_view::npos) ++i;
        if (i == text.size() || ascii_lower(text[i]) != ascii_lower(c)) return std::nullopt;
        ++i;
    }
    return i;
}

// `found` is the type `drawn`, or adds a suffix that begins with a letter.
bool same_but_suffix(std::string_view drawn, std::string_view found) {
    auto spelled = spelled_at_front(found, drawn);
    if (!spelled) return false;
    std::size_t next = found.find_first_not_of(unmarked, *spelled);
    if (next == std::string_view::npos) return true;
    char c = ascii_lower(found[next]);
    return c >= 'a' && c <= 'z';
}

bool same_letters(std::string_view a, std::string_view b) {
    auto spelled = spelled_at_front(a, b);
    return spelled && a.find_first_not_of(unmarked, *spelled) == std::string_view::npos;
}

bool is_blank_type(std::string_view type) { return type.find_first_not_of(unmarked) == std::string_view::npos; }

}  // namespace

std::optional<std::uint32_t> Kind::pin(std::string_view wanted) const {
    for (bool exact : {true, false}) {
        auto is = [&](const std::string& known) {
            return exact ? known == wanted : ascii_lower(known) == ascii_lower(wanted);
        };
        for (std::uint32_t i = 0; i < pins.size(); ++i) {
            if (is(pins[i].name)) return i;
            for (const std::string& other : pins[i].others)
                if (is(other)) return i;
        }
    }
    return std::nullopt;
}

void KindTable::set(Kind kind) {
    auto [at, added] = by_name_.emplace(kind.name, static_cast<std::uint32_t>(kinds_.size()));
    if (added) kinds_.push_back(std::move(kind));
    else kinds_[at->second] = std::move(kind);
}

std::optional<KindId> KindTable::find(std::string_view name) const {
    auto at = by_name_.find(name);
    if (at == by_name_.end()) return std::nullopt;
    return KindId{at->second};
}

std::vector<std::string> KindTable::names() const {
    std::vector<std::string> out;
    for (const Kind& kind : kinds_) out.push_back(kind.name);
    return out;
}

bool KindTable::same_type(std::string_view drawn, std::string_view found) const {
    if (is_blank_type(drawn) || is_blank_type(found)) return false;
    if (same_but_suffix(drawn, found)) return true;
    for (const Kind& kind : kinds_)
        for (const std::vector<std::string>& one_type : kind.synonyms) {
            bool names_drawn = false, names_found = false;
            for (const std::string& name : one_type) {
                names_drawn = names_drawn || same_letters(name, drawn);
                names_found = names_found || same_but_suffix(name, found);
            }
            if (names_drawn && names_found) return true;
        }
    return false;
}

}  // namespace tallyboard
