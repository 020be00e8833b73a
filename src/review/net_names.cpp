#include "review/net_names.h"

#include "base/text.h"

namespace tallyboard::detail {

NetNames::NetNames(const Circuit& drawing) {
    for (const Net& net : drawing.nets) taken_.insert(net.name);
}

std::string NetNames::take(const std::string& wanted) {
    // A name with a point could be taken for a pin.
    const bool usable = !wanted.empty() && wanted.find('.') == std::string::npos;
    if (usable && taken_.insert(wanted).second) return wanted;
    for (std::size_t number = usable ? 2 : 1;; ++number) {
        const std::string name = usable ? wanted + "-" + std::to_string(number) : "N" + std::to_string(number);
        if (taken_.insert(name).second) return name;
    }
}

References::References(const Circuit& drawing) {
    for (const Part& part : drawing.parts) {
        taken_.insert(part.ref);
        if (!part.package.empty()) taken_.insert(part.package);
    }
}

std::string References::take(const std::string& wanted, const std::string& letters) {
    if (taken_.insert(wanted).second) return wanted;
    std::string own = wanted;
    while (!own.empty() && !is_digit(own.back())) own.pop_back();
    while (!own.empty() && is_digit(own.back())) own.pop_back();
    if (own.empty()) own = letters.empty() ? "X" : letters;
    for (std::size_t number = 1;; ++number) {
        const std::string ref = own + std::to_string(number);
        if (taken_.insert(ref).second) return ref;
    }
}

std::string References::take_package(const std::string& wanted) { return take(wanted, "IC"); }

}  // namespace tallyboard::detail
