#pragma once

#include <map>
#include <optional>
#include <vector>

#include "compare/compare.h"

namespace tallyboard::detail {

// A copy of the drawing on which findings are carried out, one after the other, as far as solving needs: parts, their values and
// kinds, the nets of their pins. The drawing itself stays; ids of its parts and nets keep their meaning in the copy, what is added
// stands behind them.
class Trial {
public:
    Trial(const Circuit& drawing, const Circuit& board, const Comparison& comparison);

    // False: the finding changes nothing that can be worked with (unverified), and why() says what.
    bool carry_out(const Finding& finding);
    // Every finding that costs; false where there is none.
    bool carry_out_all();
    const std::string& why() const { return why_; }
    const Circuit& circuit() const { return circuit_; }

    // The net of the copy that answers to a board's net: the drawing's it is paired with, else one of its own.
    NetId net_for(NetId board_net);
    // The drawn part that answers to a board's; none: it is extra and not (yet) carried out.
    std::optional<PartId> part_for(PartId board_part) const;
    // The board's reading as one of the copy; none where a place or part of it has no partner on the drawing.
    std::optional<Reading> reading_for(const Reading& reading) const;

private:
    void take_value(PartId drawn, PartId found);
    void take_kind(PartId drawn, PartId found);
    void set_net(PinId pin, std::optional<NetId> net);
    PartId add_part(PartId found);
    void add_link(NetId a, NetId b);
    NetId new_net(const std::string& name);
    // Parts a drawn net in two as on the board: the pins that leave go with the board's net `piece`, the others with `rest`. Gives
    // the net that stands for the piece.
    NetId part_net(NetId drawn, const std::vector<PinId>& leave, NetId piece, std::optional<NetId> rest);
    bool insert(const Finding& finding);
    bool bypass(const Finding& finding);
    bool join(const Finding& finding);
    bool split(const Finding& finding);
    bool move(const Finding& finding);
    bool turn(const Finding& finding);
    std::optional<NetId> paired_net(NetId board_net) const;

    const Circuit& board_;
    const Comparison& comparison_;
    Circuit circuit_;
    std::map<NetId, NetId> net_of_board_;              // paired ones, and those made here
    std::map<PartId, PartId> part_of_board_;
    std::map<PinId, PinId> pin_of_board_;
    std::string why_;
};

// The board, with the drawing's setup where it has none of its own: net by net and part by part as they are paired. Without one
// where a net that the setup names has no partner.
Circuit board_set_up(const Circuit& drawing, const Circuit& board, const Comparison& comparison);

}  // namespace tallyboard::detail
