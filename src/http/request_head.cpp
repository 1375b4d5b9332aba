#include "http/request_head.h"

#include <algorithm>

#include "base/ascii.h"

namespace loomgraft {
namespace {

bool is_token_character(char c) {  // RFC 9110, section 5.6.2
  return is_digit(c) || is_letter(c) || std::string_view("!#$%&'*+-.^_`|~").find(c) != std::string_view::npos;
}

bool is_token(std::string_view text) {
  return !text.empty() && std::ranges::all_of(text, is_token_character);
}

bool is_control(char c) {
  const auto byte = static_cast<unsigned char>(c);
  return (byte < 0x20U && c != '\t') || byte == 0x7FU;
}

bool is_request_line(std::string_view line) {
  const std::size_t first = line.find(' ');
  const std::size_t last = line.rfind(' ');
  if (first == std::string_view::npos || first == last) return false;
  const std::string_view target = line.substr(first + 1, last - first - 1);
  const bool target_fits =
      !target.empty() && std::ranges::none_of(target, [](char c) { return c == ' ' || is_control(c); });
  return is_token(line.substr(0, first)) && target_fits && line.substr(last + 1).starts_with("HTTP/1.") &&
         line.size() == last + 1 + 8;
}

bool is_field_line(std::string_view line) {
  const std::size_t colon = line.find(':');
  return colon != std::string_view::npos && is_token(line.substr(0, colon)) &&
         std::ranges::none_of(line, is_control);
}

}  // namespace

std::size_t head_size(std::string_view bytes) {
  // An empty line or two before the request line is let pass (RFC 9112, section 2.2).
  std::size_t begin = 0;
  while (begin < bytes.size() && (bytes[begin] == '\r' || bytes[begin] == '\n')) ++begin;
  for (std::size_t end = bytes.find('\n', begin); end != std::string_view::npos;
       end = bytes.find('\n', end + 1)) {
    if (bytes.substr(end + 1, 2) == "\r\n") return end + 3;
    if (bytes.substr(end + 1, 1) == "\n") return end + 2;
  }
  return 0;
}

bool is_well_formed_head(std::string_view head) {
  bool is_first = true;
  while (!head.empty()) {
    const std::size_t end = std::min(head.find('\n'), head.size());
    std::string_view line = head.substr(0, end);
    head.remove_prefix(std::min(end + 1, head.size()));
    if (line.ends_with('\r')) line.remove_suffix(1);
    if (line.empty()) continue;
    if (!(is_first ? is_request_line(line) : is_field_line(line))) return false;
    is_first = false;
  }
  return !is_first;
}

}  // namespace loomgraft
