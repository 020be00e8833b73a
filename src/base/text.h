#pragma once

#include <string>
#include <string_view>
#include <vector>

namespace tallyboard {

// ASCII only, whatever the locale.
constexpr char ascii_lower(char c) { return c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c; }
constexpr char ascii_upper(char c) { return c >= 'a' && c <= 'z' ? static_cast<char>(c - 'a' + 'A') : c; }
constexpr bool is_digit(char c) { return c >= '0' && c <= '9'; }
constexpr bool is_blank(char c) { return c == ' ' || c == '\t' || c == '\r' || c == '\n'; }
std::string ascii_lower(std::string_view text);

// XML white space removed at both ends.
std::string_view trimmed(std::string_view text);
// As xs:token: trimmed, and every run of white space one blank.
std::string collapsed(std::string_view text);
// Words between white space.
std::vector<std::string> split_words(std::string_view text);
// Pieces between separators, empty ones kept.
std::vector<std::string> split(std::string_view text, char separator);
std::string join(const std::vector<std::string>& pieces, std::string_view between);
// "a", "a and b", "a, b and c".
std::string join_words(const std::vector<std::string>& pieces, std::string_view last = "and");
// The text's characters (UTF-8 sequences; a byte that begins none stands alone).
std::vector<std::string> split_characters(std::string_view text);
std::size_t count_characters(std::string_view text);
bool is_valid_utf8(std::string_view text);

// Natural order: runs of digits compare as numbers, so R2 comes before R10; letters by byte. A strict total order on
// texts (texts alike but for leading zeros are ordered by byte).
bool natural_less(std::string_view a, std::string_view b);

// "1 part", "2 parts"; `plural` where an s does not do.
std::string counted(std::size_t count, std::string_view singular, std::string_view plural = {});

}  // namespace tallyboard
