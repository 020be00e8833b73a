#pragma once

#include <string>
#include <string_view>

namespace tallyboard::detail {

// `text` as content or an attribute of XML; control signs, which XML 1.0 does not hold, become blanks.
std::string escaped(std::string_view text);

}  // namespace tallyboard::detail
