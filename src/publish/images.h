#pragma once

#include <string>
#include <string_view>

#include "base/result.h"
#include "publish/document.h"

namespace tallyboard {

// Largest picture taken: an A3 page at 600 dots an inch.
inline constexpr long long most_pixels = 80'000'000;

// A PNG or JPEG file as a picture, decoded whole so that a damaged one is told here and not in a reader's window. A sound JPEG keeps its
// own bytes and its EXIF orientation. Failure says what is wrong: neither format, cut short, too large.
Result<Image> read_image(std::string_view bytes);

}  // namespace tallyboard
