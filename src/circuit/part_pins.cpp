// The pins attribute: net names in the kind's order, or PIN=NET.
#include <algorithm>

#include "base/number_text.h"
#include "base/text.h"
#include "circuit/part_builder.h"

namespace tallyboard {
namespace {

struct Item { std::size_t begin, end; };

std::vector<Item> items_of(std::string_view text) {
    std::vector<Item> items;
    for (std::size_t i = 0; i < text.size();) {
        while (i < text.size() && is_blank(text[i])) ++i;
        std::size_t begin = i;
        while (i < text.size() && !is_blank(text[i])) ++i;
        if (i > begin) items.push_back({begin, i});
    }
    return items;
}

std::vector<std::string> own_names(const Kind& kind) {
    std::vector<std::string> out;
    for (const KindPin& pin : kind.pins) out.push_back(pin.name);
    return out;
}

}  // namespace

// `write pins="emitter=… base=… collector=…"`.
std::string PartBuilder::pins_wanted() const {
    std::vector<std::string> items;
    for (const KindPin& pin : kind_->pins) items.push_back(pin.name + "=…");
    if (kind_->pattern == PinPattern::windings) items = {"p1=…", "p2=…", "s1=…", "s2=…"};
    if (kind_->pattern == PinPattern::contacts) items.insert(items.end(), {"1=…", "2=…"});
    if (kind_->pattern == PinPattern::any) items = {"1=…", "2=…"};
    return "write pins=\"" + join(items, " ") + "\"";
}

bool PartBuilder::pins() {
    PinState unmentioned = whole_.circuit_.role == CircuitRole::board ? PinState::untraced : PinState::undrawn;
    if (kind_->pattern == PinPattern::fixed)
        for (std::uint32_t i = 0; i < kind_->pins.size(); ++i)
            part_.pins.push_back({kind_->pins[i].name, unmentioned, {}, i, {}});
    if (!row_.pins) return true;
    std::string_view text = row_.pins.text;
    std::vector<Item> items = items_of(text);
    auto has_name = [&](const Item& item) {
        return text.substr(item.begin, item.end - item.begin).find('=') != std::string_view::npos;
    };
    auto named = std::count_if(items.begin(), items.end(), has_name);
    if (named > 0 && named < static_cast<std::ptrdiff_t>(items.size())) {
        auto odd = std::find_if(items.begin(), items.end(), [&](const Item& item) { return !has_name(item); });
        diagnoses_.error(row_.pins.at(odd->begin), "net names alone and PIN=NET are mixed; write PIN=NET for every pin");
        return false;
    }
    if (named == 0 && !items.empty() && !kind_->ordered) {
        diagnoses_.error(row_.pins.at(items.front().begin), "the pins of " + kind_->says + " are named: " + pins_wanted());
        return false;
    }
    bool good = true;
    for (std::size_t i = 0; i < items.size(); ++i) {
        std::string_view item = text.substr(items[i].begin, items[i].end - items[i].begin);
        Span span{row_.pins.at(items[i].begin), row_.pins.at(items[i].end)};
        std::size_t equals = named ? item.find('=') : 0;
        if (!named && i >= kind_->pins.size()) {
            diagnoses_.error(span.begin, kind_->says + " has " + counted(kind_->pins.size(), "pin") + "; here are " +
                                             std::to_string(items.size()));
            return false;
        }
        std::string_view name = named ? item.substr(0, equals) : std::string_view(kind_->pins[i].name);
        std::string_view net = named ? item.substr(equals + 1) : item;
        good = pin(name, net, span, row_.pins.at(items[i].begin + (named ? equals + 1 : 0))) && good;
    }
    return good;
}

bool PartBuilder::pin(std::string_view name, std::string_view net, Span item, std::size_t net_at) {
    if (name.empty()) {
        diagnoses_.error(item.begin, "a pin's name is missing before the =");
        return false;
    }
    auto index = pin_called(name, item.begin);
    if (!index) return false;
    Pin& pin = part_.pins[*index];
    if (pin.span != Span{}) {
        diagnoses_.error(item.begin, "the pin " + pin.name + " is given twice");
        return false;
    }
    pin.span = item;
    if (net == "?") {
        pin.state = PinState::untraced;
    } else if (net == "-") {
        pin.state = PinState::nowhere;
    } else if (whole_.is_net_name(net, net_at)) {
        pin.state = PinState::traced;
        pin.net = whole_.net_named(net, item);
    } else {
        return false;
    }
    return true;
}

std::optional<std::uint32_t> PartBuilder::pin_called(std::string_view name, std::size_t offset) {
    if (kind_->pattern != PinPattern::fixed) return open_pin(name, offset);
    if (auto index = kind_->pin(name)) return index;
    std::vector<std::string> known = own_names(*kind_);
    std::string nearest = diagnoses_.nearest(offset, name, [&] { return known; });
    diagnoses_.error(offset, kind_->says + " has no pin \"" + std::string(name) + "\"" +
                                 (nearest.empty() ? "; it has " + join_words(known) : "; did you mean \"" + nearest + "\"?"));
    return std::nullopt;
}

// A pin of a kind whose pins depend on the part: found again if mentioned before, else added behind the others.
std::optional<std::uint32_t> PartBuilder::open_pin(std::string_view name, std::size_t offset) {
    std::string own(name);
    auto number_of = [](std::string_view digits) {
        return digits.starts_with('0') || digits.size() > 3 ? std::nullopt : read_integer(digits);
    };
    if (kind_->pattern == PinPattern::windings) {
        own = ascii_lower(name);
        bool good = own.size() > 1 && std::string_view("pstuv").find(own[0]) != std::string_view::npos &&
                    number_of(own.substr(1)).value_or(0) > 0;
        if (!good) {
            diagnoses_.error(offset, kind_->says + " has no pin \"" + std::string(name) +
                                         "\"; its pins are a letter for the winding (p s t u v) and the tap's number: p1, p2, s1");
            return std::nullopt;
        }
    } else if (kind_->pattern == PinPattern::contacts) {
        if (auto fixed = kind_->pin(name)) own = kind_->pins[*fixed].name;
        else if (number_of(name).value_or(0) < 1) {
            diagnoses_.error(offset, kind_->says + " has no pin \"" + std::string(name) + "\"; it has " +
                                         join_words(own_names(*kind_)) + " and contacts 1, 2, 3 and so on");
            return std::nullopt;
        }
    }
    for (std::uint32_t i = 0; i < part_.pins.size(); ++i)
        if (part_.pins[i].name == own) return i;
    auto index = static_cast<std::uint32_t>(part_.pins.size());
    part_.pins.push_back({own, PinState::untraced, {}, index, {}});
    return index;
}

}  // namespace tallyboard
