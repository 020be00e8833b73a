#pragma once

#include <string>
#include <string_view>
#include <utility>
#include <vector>

namespace tallyboard {

// What a mark on the sheet says of the place it stands at: the words of the findings. `equivalent` and `drift` have no mark.
enum class MarkKind { value, kind, reversed, missing, extra, moved, split, joined, inserted, bypassed, unverified };
std::string_view mark_word(MarkKind kind);

// One numbered mark. Places are names as the drawing has them (or, for extra parts, as `ExtraPart` has them).
struct Mark {
    int number = 0;                    // printed in the triangle; 0: no triangle
    MarkKind kind = MarkKind::value;
    std::string ref;                   // the part, where there is one
    std::vector<std::string> pins;     // "C3.a": the pins that go elsewhere (moved, split, inserted) or are untraced (unverified)
    std::string net;                   // the drawn net: moved from, split, joined, inserted into
    std::string other_net;             // moved, split, inserted: where `pins` go on the board; joined: the other net
    std::string old_text, new_text;    // value, kind: as drawn and as found
    std::string anchor;                // name of the place on the sheet, for links to it; empty: none
    std::string to;                    // the anchor that the mark links to; empty: none
};

// A part the board has and the drawing lacks. `pins`: the kind's pin name and the net, the drawing's or a new one.
struct ExtraPart {
    std::string ref, kind, value, model;
    std::vector<std::pair<std::string, std::string>> pins;
};

// A drawn part that stands on the picture as the board has it: of another kind (`kind`; empty: as drawn), or with pins exchanged.
// `pins`: a pin by the drawing's name, and the pin found in its place; pins not named keep their names.
struct AsFound {
    std::string ref, kind;
    std::vector<std::pair<std::string, std::string>> pins;
};

// All that is marked on one picture. The picture is the union: the drawing's parts with the extra parts, the pins of `moved`,
// `split` and `inserted` on the nets they have on the board, the parts of `as_found` as the board has them, everything placed once.
// Marks call pins by the drawing's names.
struct Annotations {
    std::vector<ExtraPart> extras;
    std::vector<AsFound> as_found;
    std::vector<Mark> marks;
};

}  // namespace tallyboard
