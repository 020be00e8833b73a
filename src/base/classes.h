#pragma once

#include <cstddef>
#include <numeric>
#include <vector>

namespace tallyboard {

// Things that are one (nets, mostly), as they are found to be: each class has one member that stands for all, the earliest.
class Classes {
public:
    explicit Classes(std::size_t size = 0) : parent_(size) { std::iota(parent_.begin(), parent_.end(), std::size_t{0}); }

    std::size_t of(std::size_t member) const {
        while (parent_[member] != member) member = parent_[member];
        return member;
    }
    // The same; the way is shortened for the next time.
    std::size_t of(std::size_t member) {
        while (parent_[member] != member) member = parent_[member] = parent_[parent_[member]];
        return member;
    }
    // False: they were one already.
    bool join(std::size_t one, std::size_t other) {
        one = of(one);
        other = of(other);
        if (one < other) parent_[other] = one;
        if (other < one) parent_[one] = other;
        return one != other;
    }
    std::size_t add() {
        parent_.push_back(parent_.size());
        return parent_.size() - 1;
    }
    std::size_t size() const { return parent_.size(); }

private:
    std::vector<std::size_t> parent_;
};

}  // namespace tallyboard
