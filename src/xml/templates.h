#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace tallyboard {

// What `new` can write: "circulated", "as-found", "review", "family".
const std::vector<std::string>& template_names();
// A commented file to fill in; as it stands it reads without errors. Nothing for a name that is not known.
std::optional<std::string> template_text(std::string_view name);

}  // namespace tallyboard
