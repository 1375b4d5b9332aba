// Single characters and blanks of ASCII text, whatever the locale of the machine. Bytes above 127 are neither letters
// nor blanks.
#pragma once

#include <string>
#include <string_view>

namespace loomgraft {

constexpr bool is_digit(char c) {
  return c >= '0' && c <= '9';
}
constexpr bool is_letter(char c) {
  return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z');
}
constexpr bool is_blank(char c) {
  return c == ' ' || c == '\t' || c == '\n' || c == '\r' || c == '\f' || c == '\v';
}
constexpr char lower(char c) {
  return c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c;
}
constexpr char upper(char c) {
  return c >= 'a' && c <= 'z' ? static_cast<char>(c - 'a' + 'A') : c;
}
inline std::string lower(std::string_view text) {
  std::string result(text);
  for (char& c : result) c = lower(c);
  return result;
}
inline std::string upper(std::string_view text) {
  std::string result(text);
  for (char& c : result) c = upper(c);
  return result;
}

// Zero behind the end.
constexpr unsigned char byte_at(std::string_view text, std::size_t at) {
  return at < text.size() ? static_cast<unsigned char>(text[at]) : 0;
}

// Without the blanks, and the characters of `also`, at both ends.
constexpr std::string_view trimmed(std::string_view text, std::string_view also = {}) {
  const auto drop = [&](char c) { return is_blank(c) || also.find(c) != std::string_view::npos; };
  while (!text.empty() && drop(text.front())) text.remove_prefix(1);
  while (!text.empty() && drop(text.back())) text.remove_suffix(1);
  return text;
}

}  // namespace loomgraft
