#pragma once

#include <cstddef>
#include <filesystem>
#include <string>
#include <string_view>

#include "base/source_text.h"

namespace tallyboard {

// Largest input taken. The biggest board ever traced is some hundred kilobytes; more is a wrong file.
constexpr std::size_t max_input_bytes = 64u << 20;

// The file's bytes under the name given ("-": standard input). CommandError for what is no readable regular file: missing,
// a directory, a device, not permitted, larger than `limit`.
SourceText read_file(const std::string& path, std::size_t limit = max_input_bytes);

// Writes a file next to `path` and renames it over: readers see the old bytes or the new ones, never half. Keeps the old
// file's permissions, follows a symbolic link to the file behind it. CommandError when it cannot; the old file is then whole.
void write_file(const std::string& path, std::string_view bytes);

// CommandError unless a file could be written there: the folder exists and is writable, the path names no folder or device.
// Asked before long work, so that it is not lost at the end.
void require_writable(const std::string& path);

// `path` as named in the file `base`: relative to its folder unless absolute.
std::string path_beside(const std::string& base, const std::string& path);

}  // namespace tallyboard
