#include "text/fold.h"

#include <algorithm>
#include <array>
#include <cstddef>
#include <utility>

namespace loomgraft {
namespace {

// What U+00C0 to U+017F are without accents (decompositions of the Unicode character database).
constexpr std::string_view latin_bases =
    "aaaaaaaceeeeiiiidnooooo ouuuuytsaaaaaaaceeeeiiiidnooooo ouuuuyty"
    "aaaaaaccccccccddddeeeeeeeeeegggggggghhhhiiiiiiiiiiiijjkkkllllllllllnnnnnnnnnoooooooorrrrrrsssssssstttttt"
    "uuuuuuuu"
    "uuuuwwyyyzzzzzzs";
constexpr unsigned first_base = 0xC0, first_extended = 0x100;
static_assert(latin_bases.size() == 0x180 - first_base);

struct Letter {
  std::string_view bytes;  // as written
  char base = 0;           // 0: none, the bytes stand for themselves
  bool separates = false;
  bool small = false;
  bool capital = false;
};

// Latin-1 has its small letters in the upper half; the extended letters take turns, capital first.
bool is_small(unsigned code) {
  return code < first_extended ? code >= 0xDF : code % 2 == 1;
}

Letter two_byte_letter(std::string_view bytes) {
  const unsigned code =
      ((static_cast<unsigned char>(bytes[0]) & 0x1FU) << 6U) | (static_cast<unsigned char>(bytes[1]) & 0x3FU);
  // U+0080 to U+00BF are marks.
  if (code < first_base) return {bytes, 0, true};
  if (code >= first_base + latin_bases.size()) return {bytes};
  const char base = latin_bases[code - first_base];
  return {bytes, base, base == ' ', is_small(code), !is_small(code)};
}

bool is_whole(std::string_view bytes, std::size_t size) {
  return bytes.size() == size && std::ranges::all_of(bytes.substr(1), [](char c) {
           return (static_cast<unsigned char>(c) & 0xC0U) == 0x80U;
         });
}

Letter letter_at(std::string_view text, std::size_t at) {
  const auto byte = static_cast<unsigned char>(text[at]);
  if (byte < 0x80) {
    const bool small = byte >= 'a' && byte <= 'z', capital = byte >= 'A' && byte <= 'Z';
    const bool digit = byte >= '0' && byte <= '9';
    const char base = static_cast<char>(capital ? byte - 'A' + 'a' : byte);
    return {text.substr(at, 1), base, !small && !capital && !digit, small, capital};
  }
  const std::size_t size = byte >= 0xF0 ? 4U : byte >= 0xE0 ? 3U : byte >= 0xC0 ? 2U : 1U;
  const std::string_view bytes = text.substr(at, size);
  // Three bytes that begin with E2 are dashes, quotes, bullets and the like.
  if (size == 1 || !is_whole(bytes, size)) return {text.substr(at, 1), 0, true};
  if (byte == 0xE2) return {bytes, 0, true};
  return size == 2 ? two_byte_letter(bytes) : Letter{bytes};
}

void add(FoldedWord& word, const Letter& letter, bool& small) {
  if (letter.base != 0)
    word.text.push_back(letter.base);
  else
    word.text.append(letter.bytes);
  small = small || letter.small;
  word.capitals = !small && (word.capitals || letter.capital);
}

}  // namespace

std::vector<FoldedWord> folded_words(std::string_view text) {
  std::vector<FoldedWord> words;
  bool inside = false, small = false;
  for (std::size_t at = 0; at < text.size();) {
    const Letter letter = letter_at(text, at);
    at += letter.bytes.size();
    if (letter.separates) {
      inside = false;
      continue;
    }
    if (!inside) {
      words.emplace_back();
      small = false;
    }
    inside = true;
    add(words.back(), letter, small);
  }
  return words;
}

std::string umlauts_spelled_out(std::string text) {
  constexpr std::array<std::pair<std::string_view, std::string_view>, 7> umlauts{
      {{"ä", "ae"}, {"ö", "oe"}, {"ü", "ue"}, {"Ä", "Ae"}, {"Ö", "Oe"}, {"Ü", "Ue"}, {"ß", "ss"}}};
  for (const auto& [letter, two] : umlauts) {
    for (std::size_t at = text.find(letter); at != std::string::npos; at = text.find(letter, at))
      text.replace(at, letter.size(), two);
  }
  return text;
}

std::string folded_together(std::string_view text) {
  std::string together;
  for (const FoldedWord& word : folded_words(text)) together += word.text;
  return together;
}

}  // namespace loomgraft
