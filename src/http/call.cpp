#include "http/call.h"

#include <algorithm>

#include "base/ascii.h"

namespace loomgraft {
namespace {

int hex_digit(char c) {
  if (is_digit(c)) return c - '0';
  const char small = lower(c);
  return small >= 'a' && small <= 'f' ? small - 'a' + 10 : -1;
}

bool is_unreserved(char c) {
  return is_digit(c) || is_letter(c) || std::string_view("-._~").find(c) != std::string_view::npos;
}

}  // namespace

bool FieldLess::operator()(std::string_view a, std::string_view b) const {
  return std::lexicographical_compare(a.begin(), a.end(), b.begin(), b.end(),
                                      [](char x, char y) { return lower(x) < lower(y); });
}

std::string_view field(const Call& call, std::string_view name) {
  const auto found = call.fields.find(name);
  return found == call.fields.end() ? std::string_view() : std::string_view(found->second);
}

std::string query_value(const Call& call, const std::string& name) {
  const auto found = call.query.find(name);
  return found == call.query.end() ? std::string() : found->second;
}

std::string safe_field(std::string_view text) {
  std::string safe;
  for (const char c : text) {
    const auto byte = static_cast<unsigned char>(c);
    if (byte >= 0x20 && byte != 0x7f) safe += c;
  }
  return safe;
}

bool percent_decoded(std::string_view text, std::string& decoded, bool plus_is_blank) {
  decoded.clear();
  for (std::size_t i = 0; i < text.size(); ++i) {
    if (text[i] != '%') {
      decoded += plus_is_blank && text[i] == '+' ? ' ' : text[i];
      continue;
    }
    if (i + 2 >= text.size()) return false;
    const int high = hex_digit(text[i + 1]);
    const int low = hex_digit(text[i + 2]);
    if (high < 0 || low < 0) return false;
    decoded += static_cast<char>(high * 16 + low);
    i += 2;
  }
  return true;
}

std::string percent_encoded(std::string_view text) {
  constexpr std::string_view digits = "0123456789ABCDEF";
  std::string encoded;
  for (const char c : text) {
    if (is_unreserved(c)) {
      encoded += c;
      continue;
    }
    const auto byte = static_cast<unsigned char>(c);
    encoded += '%';
    encoded += digits[byte >> 4U];
    encoded += digits[byte & 15U];
  }
  return encoded;
}

}  // namespace loomgraft
