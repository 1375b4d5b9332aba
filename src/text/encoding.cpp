#include "text/encoding.h"

#include <algorithm>
#include <array>
#include <cstdint>
#include <cstring>

#include "base/ascii.h"

namespace loomgraft {
namespace {

constexpr char32_t replacement = 0xFFFD;

// Length of the valid UTF-8 sequence at `at`, 0 where there is none (overlong forms and surrogates are none).
std::size_t sequence_length(std::string_view bytes, std::size_t at) {
  const unsigned char lead = byte_at(bytes, at);
  if (lead < 0x80) return 1;
  const std::size_t length = lead >= 0xF0 ? 4 : lead >= 0xE0 ? 3 : 2;
  if (lead < 0xC2 || lead > 0xF4 || at + length > bytes.size()) return 0;
  for (std::size_t i = 1; i < length; ++i)
    if ((byte_at(bytes, at + i) & 0xC0) != 0x80) return 0;
  const unsigned char second = byte_at(bytes, at + 1);
  if (lead == 0xE0 && second < 0xA0) return 0;
  if (lead == 0xED && second > 0x9F) return 0;
  if (lead == 0xF0 && second < 0x90) return 0;
  if (lead == 0xF4 && second > 0x8F) return 0;
  return length;
}

// Skips eight ASCII bytes at a time: most files are ASCII nearly throughout.
std::size_t first_non_ascii(std::string_view bytes, std::size_t at) {
  while (at + 8 <= bytes.size()) {
    std::uint64_t word = 0;
    std::memcpy(&word, bytes.data() + at, 8);
    if ((word & 0x8080808080808080ULL) != 0) break;
    at += 8;
  }
  while (at < bytes.size() && byte_at(bytes, at) < 0x80) ++at;
  return at;
}

char32_t utf16_unit(std::string_view bytes, std::size_t at, bool little) {
  const unsigned first = byte_at(bytes, at);
  const unsigned second = byte_at(bytes, at + 1);
  return little ? (second << 8 | first) : (first << 8 | second);
}

std::string from_utf16(std::string_view bytes, bool little) {
  std::string out;
  out.reserve(bytes.size() / 2 + bytes.size() / 8);
  std::size_t at = 0;
  while (at + 1 < bytes.size()) {
    char32_t unit = utf16_unit(bytes, at, little);
    at += 2;
    if (unit >= 0xD800 && unit < 0xE000) {
      const char32_t low = unit < 0xDC00 && at + 1 < bytes.size() ? utf16_unit(bytes, at, little) : 0;
      const bool pair = low >= 0xDC00 && low < 0xE000;
      unit = pair ? 0x10000 + ((unit - 0xD800) << 10) + (low - 0xDC00) : replacement;
      if (pair) at += 2;
    }
    append_utf8(out, unit);
  }
  if (at < bytes.size()) append_utf8(out, replacement);
  return out;
}

// Windows-1252, 0x80 to 0x9F (Unicode mapping table of the code page); the five unused codes stay control
// codes.
constexpr std::array<char16_t, 32> windows_1252_high = {
    0x20AC, 0x81,   0x201A, 0x0192, 0x201E, 0x2026, 0x2020, 0x2021, 0x02C6, 0x2030, 0x0160,
    0x2039, 0x0152, 0x8D,   0x017D, 0x8F,   0x90,   0x2018, 0x2019, 0x201C, 0x201D, 0x2022,
    0x2013, 0x2014, 0x02DC, 0x2122, 0x0161, 0x203A, 0x0153, 0x9D,   0x017E, 0x0178};

std::string from_windows_1252(std::string_view bytes) {
  std::string out;
  out.reserve(bytes.size() + bytes.size() / 8);
  for (const char c : bytes) {
    const auto code = static_cast<unsigned char>(c);
    if (code < 0x80)
      out.push_back(c);
    else
      append_utf8(out, code < 0xA0 ? windows_1252_high[code - 0x80U] : code);
  }
  return out;
}

struct ByteCensus {
  std::size_t zero_even = 0, zero_odd = 0, control = 0, size = 0;
};

ByteCensus take_census(std::string_view bytes) {
  ByteCensus census;
  census.size = std::min<std::size_t>(bytes.size(), 65536);
  for (std::size_t i = 0; i < census.size; ++i) {
    const unsigned char c = byte_at(bytes, i);
    if (c == 0)
      ++(i % 2 == 0 ? census.zero_even : census.zero_odd);
    else if ((c < 0x20 && c != '\t' && c != '\n' && c != '\r' && c != '\f' && c != 0x1B) || c == 0x7F)
      ++census.control;
  }
  return census;
}

void take_utf16(std::string_view bytes, bool little, bool guessed, DecodedText& result) {
  result.owned = from_utf16(bytes, little);
  result.text = result.owned;
  result.encoding = little ? Encoding::utf16_le : Encoding::utf16_be;
  result.guessed = guessed;
}

}  // namespace

void append_utf8(std::string& out, char32_t code) {
  if (code >= 0xD800 && code < 0xE000) code = replacement;
  if (code > 0x10FFFF) code = replacement;
  if (code < 0x80) {
    out.push_back(static_cast<char>(code));
  } else if (code < 0x800) {
    out.push_back(static_cast<char>(0xC0 | (code >> 6)));
    out.push_back(static_cast<char>(0x80 | (code & 0x3F)));
  } else if (code < 0x10000) {
    out.push_back(static_cast<char>(0xE0 | (code >> 12)));
    out.push_back(static_cast<char>(0x80 | ((code >> 6) & 0x3F)));
    out.push_back(static_cast<char>(0x80 | (code & 0x3F)));
  } else {
    out.push_back(static_cast<char>(0xF0 | (code >> 18)));
    out.push_back(static_cast<char>(0x80 | ((code >> 12) & 0x3F)));
    out.push_back(static_cast<char>(0x80 | ((code >> 6) & 0x3F)));
    out.push_back(static_cast<char>(0x80 | (code & 0x3F)));
  }
}

bool valid_utf8(std::string_view bytes) {
  std::size_t at = first_non_ascii(bytes, 0);
  while (at < bytes.size()) {
    const std::size_t length = sequence_length(bytes, at);
    if (length == 0) return false;
    at = first_non_ascii(bytes, at + length);
  }
  return true;
}

std::string repaired_utf8(std::string_view bytes) {
  std::string out;
  for (std::size_t at = 0; at < bytes.size();) {
    const std::size_t length = sequence_length(bytes, at);
    if (length == 0)
      append_utf8(out, replacement);
    else
      out += bytes.substr(at, length);
    at += std::max<std::size_t>(length, 1);
  }
  return out;
}

void decode_text(std::string_view bytes, DecodedText& result) {
  if (bytes.starts_with("\xEF\xBB\xBF")) bytes.remove_prefix(3);
  if (bytes.starts_with("\xFF\xFE")) return take_utf16(bytes.substr(2), true, false, result);
  if (bytes.starts_with("\xFE\xFF")) return take_utf16(bytes.substr(2), false, false, result);
  const ByteCensus census = take_census(bytes);
  const std::size_t half = census.size / 2;
  // Western text in UTF-16 has a zero in nearly every other byte; the other half must be nearly free of them.
  if (half >= 2 && census.zero_odd * 10 >= half * 7 && census.zero_even * 20 <= half)
    return take_utf16(bytes, true, true, result);
  if (half >= 2 && census.zero_even * 10 >= half * 7 && census.zero_odd * 20 <= half)
    return take_utf16(bytes, false, true, result);
  const std::size_t zeros = census.zero_even + census.zero_odd;
  if (zeros * 200 > census.size || census.control * 20 > census.size) {
    result.binary = true;
    return;
  }
  if (valid_utf8(bytes)) {
    result.text = bytes;
    return;
  }
  result.owned = from_windows_1252(bytes);
  result.text = result.owned;
  result.encoding = Encoding::windows_1252;
  result.guessed = true;
}

const char* name_of(Encoding encoding) {
  constexpr const char* names[] = {"UTF-8", "UTF-16 little endian", "UTF-16 big endian", "Windows-1252"};
  return names[static_cast<int>(encoding)];
}

}  // namespace loomgraft
