#include "consequence/part_between.h"

namespace tallyboard::detail {

Part part_between(KindId kind, std::string ref, std::initializer_list<std::pair<const char*, NetId>> pins) {
    Part part;
    part.kind = kind;
    part.ref = std::move(ref);
    for (const auto& [name, net] : pins) {
        Pin pin;
        pin.name = name;
        pin.state = PinState::traced;
        pin.net = net;
        part.pins.push_back(std::move(pin));
    }
    return part;
}

}  // namespace tallyboard::detail
