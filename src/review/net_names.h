#pragma once

#include <set>
#include <string>

#include "circuit/circuit.h"

namespace tallyboard::detail {

// Names for new nets of a drawing, each unlike every name in it and every name given before.
class NetNames {
public:
    explicit NetNames(const Circuit& drawing);
    // `wanted` itself if it is free, else with a number behind it; "N1", "N2" … where nothing usable is wanted.
    std::string take(const std::string& wanted);

private:
    std::set<std::string> taken_;
};

// References for new parts likewise: `wanted` if free, else the next free number behind its letters.
class References {
public:
    explicit References(const Circuit& drawing);
    std::string take(const std::string& wanted, const std::string& letters);
    std::string take_package(const std::string& wanted);
    // A reference that is free again, its part being taken out.
    void release(const std::string& ref) { taken_.erase(ref); }

private:
    std::set<std::string> taken_;
};

}  // namespace tallyboard::detail
