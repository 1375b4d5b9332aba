#include "http/base64.h"

#include <cstdint>

namespace loomgraft {
namespace {

int value_of(char c) {
  if (c >= 'A' && c <= 'Z') return c - 'A';
  if (c >= 'a' && c <= 'z') return c - 'a' + 26;
  if (c >= '0' && c <= '9') return c - '0' + 52;
  if (c == '+') return 62;
  return c == '/' ? 63 : -1;
}

}  // namespace

std::optional<std::string> from_base64(std::string_view text) {
  std::string bytes;
  bytes.reserve(text.size() / 4 * 3);
  std::uint32_t held = 0;
  std::size_t letters = 0;
  std::size_t padding = 0;
  for (const char c : text) {
    if (c == '\r' || c == '\n' || c == ' ') continue;
    if (c == '=') {
      ++padding;
      continue;
    }
    const int value = value_of(c);
    if (value < 0 || padding > 0) return std::nullopt;
    held = (held << 6U) | static_cast<std::uint32_t>(value);
    if (++letters % 4 == 0) {
      bytes += static_cast<char>((held >> 16U) & 0xffU);
      bytes += static_cast<char>((held >> 8U) & 0xffU);
      bytes += static_cast<char>(held & 0xffU);
      held = 0;
    }
  }
  const std::size_t rest = letters % 4;
  if (rest == 1 || (letters + padding) % 4 != 0 || padding > 2) return std::nullopt;
  if (rest == 3) bytes += static_cast<char>((held >> 10U) & 0xffU);
  if (rest == 3) bytes += static_cast<char>((held >> 2U) & 0xffU);
  if (rest == 2) bytes += static_cast<char>((held >> 4U) & 0xffU);
  return bytes;
}

}  // namespace loomgraft
