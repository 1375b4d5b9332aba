#include "text/unseen.h"

namespace loomgraft {
namespace {

constexpr unsigned char byte_at(std::string_view text, std::size_t at) {
  return at < text.size() ? static_cast<unsigned char>(text[at]) : 0;
}

bool is_control(unsigned char byte) {
  return (byte < 0x20U && byte != '\t' && byte != '\n' && byte != '\r') || byte == 0x7FU;
}

// U+202A to U+202E are E2 80 AA to AE, U+2066 to U+2069 are E2 81 A6 to A9, U+FEFF is EF BB BF.
bool turns_or_marks(unsigned char first, unsigned char second, unsigned char third) {
  if (first == 0xE2U && second == 0x80U) return third >= 0xAAU && third <= 0xAEU;
  if (first == 0xE2U && second == 0x81U) return third >= 0xA6U && third <= 0xA9U;
  return first == 0xEFU && second == 0xBBU && third == 0xBFU;
}

struct Unseen {
  std::size_t bytes = 0;  // 0: a character that is seen begins here
  bool control = false;
};

Unseen unseen_at(std::string_view text, std::size_t at) {
  const unsigned char first = byte_at(text, at);
  if (is_control(first)) return {1, true};
  if (first < 0x80U) return {};
  const unsigned char second = byte_at(text, at + 1);
  if (first == 0xC2U && second >= 0x80U && second < 0xA0U) return {2, true};
  if (turns_or_marks(first, second, byte_at(text, at + 2))) return {3, false};
  return {};
}

}  // namespace

bool has_unseen_characters(std::string_view text) {
  for (std::size_t i = 0; i < text.size(); ++i)
    if (unseen_at(text, i).bytes > 0) return true;
  return false;
}

std::string without_unseen_characters(std::string_view text) {
  std::string kept;
  kept.reserve(text.size());
  for (std::size_t i = 0; i < text.size();) {
    const Unseen unseen = unseen_at(text, i);
    if (unseen.bytes == 0) kept += text[i];
    if (unseen.control) kept += ' ';
    i += unseen.bytes == 0 ? 1 : unseen.bytes;
  }
  return kept;
}

}  // namespace loomgraft
