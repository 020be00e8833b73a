#pragma once

#include <string>

#include "compare/outcome.h"

// The words of findings: what a technician would write beside the sheet. Places are told by what stands around them, by the
// drawing's names wherever the drawing has them, since its names are on the paper.
namespace tallyboard::detail {

class Words {
public:
    explicit Words(const Outcome& outcome);

    // "R3 (10k) between Q1's emitter and 0V"; a part of the board by its own reference.
    std::string drawn_part(int p) const;
    std::string found_part(int q) const;
    // "between Q1's emitter and 0V"; empty where nothing can be said.
    std::string drawn_place(int p) const;
    std::string found_place(int q) const;
    // "10k", "BC109C", "10k log"; empty where not known.
    std::string drawn_value(int p) const;
    std::string found_value(int q) const;
    std::string drawn_kind(int p) const;     // "a resistor"
    std::string found_kind(int q) const;
    std::string drawn_pin(int terminal) const;    // "C3's plus"
    std::string found_pin(int terminal) const;
    // The drawn net as its name, or by a pin that stands on it: "the net of Q1's base".
    std::string drawn_net(int net) const;
    // A found net by the drawing's name for it where it has one; else its own name, "(board)" added where that is unclear.
    std::string found_net(int net) const;

private:
    std::string part_words(const Side& side, int part) const;
    std::string value_words(const Side& side, int part) const;
    std::string kind_words(const Side& side, int part) const;
    std::string pin_words(const Side& side, int terminal) const;
    std::string place_words(bool on_board, int part) const;
    std::string net_place(bool on_board, int net, int but) const;

    const Outcome& outcome_;
    const Problem& problem_;
};

// "R1.a, R2.b and 3 more".
std::string listed(const std::vector<std::string>& items, std::size_t most = 6);

}  // namespace tallyboard::detail
