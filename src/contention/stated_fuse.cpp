#include "contention/stated_fuse.h"

#include <algorithm>
#include <array>
#include <vector>

#include "base/ascii.h"
#include "base/decimal.h"
#include "text/signal_words.h"

namespace loomgraft {
namespace {

constexpr double largest_rating = 600.0;  // of fuses and links in vehicles

// Words of the text: letters, digits and a decimal point stay together ("F12", "7.5A", "Sich").
std::vector<std::string> pieces(std::string_view text) {
  std::vector<std::string> list;
  const std::string lower = lower_case(text);
  std::string piece;
  for (std::size_t i = 0; i < lower.size(); ++i) {
    const char c = lower[i];
    const bool decimal = (c == '.' || c == ',') && !piece.empty() && is_digit(piece.back()) &&
                         i + 1 < lower.size() && is_digit(lower[i + 1]);
    if (is_letter(c) || is_digit(c) || static_cast<unsigned char>(c) >= 0x80 || decimal) {
      piece += decimal ? '.' : c;
    } else if (!piece.empty()) {
      list.push_back(std::move(piece));
      piece.clear();
    }
  }
  if (!piece.empty()) list.push_back(std::move(piece));
  return list;
}

bool names_fuse(const std::string& piece) {
  constexpr std::array<std::string_view, 14> words{
      "fuse",    "fuses",   "fused",    "fuze",    "sich",     "sichg",       "fusible",
      "fusibel", "sikring", "zekering", "säkring", "fusibile", "bezpiecznik", "pojistka"};
  return std::ranges::find(words, piece) != words.end() || piece.starts_with("sicherung") ||
         piece.starts_with("schmelzsich");
}

// "f12", "fu3", "sb7", "f2a": the mark on the lid of a fuse box.
bool is_designation(const std::string& piece) {
  std::size_t letters = 0;
  while (letters < piece.size() && is_letter(piece[letters])) ++letters;
  const std::string head = piece.substr(0, letters);
  const bool known = head == "f" || head == "fu" || head == "fl" || head == "s" || head == "sb";
  if (!known || letters == piece.size() || piece.size() > letters + 3) return false;
  return std::all_of(piece.begin() + static_cast<std::ptrdiff_t>(letters), piece.end(),
                     [](char c) { return is_digit(c) || is_letter(c); }) &&
         is_digit(piece[letters]);
}

bool is_number(const std::string& piece) {
  return !piece.empty() && is_digit(piece.front()) && read_decimal(piece).has_value();
}

bool is_ampere(const std::string& piece) {
  return piece == "a" || piece == "amp" || piece == "amps" || piece == "ampere" || piece == "amperes";
}

// The rating that starts at `at`: "15a" or "15", "a"; zero where there is none.
Amperes rating_at(const std::vector<std::string>& list, std::size_t at) {
  const std::string& piece = list[at];
  const std::size_t end = piece.find_first_not_of("0123456789.");
  const std::string figure = piece.substr(0, end);
  const bool unit_here = end != std::string::npos && is_ampere(piece.substr(end));
  const bool unit_next = end == std::string::npos && at + 1 < list.size() && is_ampere(list[at + 1]);
  if (!(unit_here || unit_next) || !is_number(figure)) return {};
  const double value = *read_decimal(figure);
  return {value > 0.0 && value <= largest_rating ? value : 0.0};
}

bool joins(const std::string& piece) {
  constexpr std::array<std::string_view, 8> words{"no", "nr", "number", "nummer", "box", "of", "with", "via"};
  return std::ranges::find(words, piece) != words.end();
}

// What stands between the word for a fuse and its rating is its name. `loose`: other words may stand there too.
std::optional<StatedFuse> fuse_from(const std::vector<std::string>& list, std::size_t word, bool loose) {
  constexpr std::size_t reach = 5;
  StatedFuse fuse;
  if (is_designation(list[word])) fuse.name = upper(list[word]);
  for (std::size_t at = word + 1; at < list.size() && at <= word + reach; ++at) {
    fuse.rating = rating_at(list, at);
    if (fuse.rating.si > 0.0) return fuse;
    const bool name = is_number(list[at]) || is_designation(list[at]);
    if (name && fuse.name.empty()) fuse.name = upper(list[at]);
    if (!name && !loose && !joins(list[at])) return std::nullopt;
  }
  return std::nullopt;
}

// "10 A fuse", "fused" after its rating.
std::optional<StatedFuse> fuse_before(const std::vector<std::string>& list, std::size_t word) {
  for (const std::size_t back : {1U, 2U}) {
    if (word < back) continue;
    const Amperes rating = rating_at(list, word - back);
    if (rating.si <= 0.0) continue;
    const bool named =
        word + 1 < list.size() && (is_number(list[word + 1]) || is_designation(list[word + 1]));
    return StatedFuse{named ? upper(list[word + 1]) : std::string(), rating};
  }
  return std::nullopt;
}

}  // namespace

std::optional<StatedFuse> stated_fuse(std::string_view text) {
  const std::vector<std::string> list = pieces(text);
  for (std::size_t i = 0; i < list.size(); ++i) {
    if (!names_fuse(list[i])) continue;
    if (auto fuse = fuse_from(list, i, false)) return fuse;
    if (auto fuse = fuse_before(list, i)) return fuse;
    if (auto fuse = fuse_from(list, i, true)) return fuse;
  }
  for (std::size_t i = 0; i < list.size(); ++i) {
    if (!is_designation(list[i]) || i + 1 >= list.size()) continue;
    const Amperes rating = rating_at(list, i + 1);
    if (rating.si > 0.0) return StatedFuse{upper(list[i]), rating};
  }
  return std::nullopt;
}

}  // namespace loomgraft
