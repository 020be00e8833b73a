#pragma once

#include <string>
#include <vector>

#include "family/family.h"

namespace tallyboard {

struct AddedMember {
    std::string text;                    // the family file with the member in it; all else byte for byte
    std::string label;                   // the unit's number, else its file's name
    std::vector<std::string> remarks;    // the same serial with other content
};

// One more board for a family. `board` is a path as the user gave it; in the file it stands relative to it. Empty fields are taken
// from the board's own <about>, and then not written. InputError, CommandError where the board or the base cannot be read, where it is a
// member already or of another design, and where `made` is no date.
AddedMember add_member(const Family& family, const std::string& board, const std::string& serial, const std::string& made,
                       const std::string& seen, const KindTable& kinds);

}  // namespace tallyboard
