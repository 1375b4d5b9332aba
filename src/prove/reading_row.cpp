#include "prove/reading_row.h"

#include <algorithm>

namespace loomgraft {
namespace {

// Neighbours in the list of faults show alike, and most show what a healthy loom shows.
constexpr std::size_t first_looked_at = 8;
constexpr std::size_t last_looked_at = 64;
constexpr std::size_t fit_in_a_byte = 256;

bool same(const Band& one, const Band& other) {
  return one.low == other.low && one.high == other.high;
}

}  // namespace

std::uint32_t ReadingRow::place_of(const Band& band) {
  const std::size_t count = shown_.size();
  const auto is_at = [&](std::size_t k) { return same(shown_[k], band); };
  for (std::size_t k = 0; k < std::min(count, first_looked_at); ++k) {
    if (is_at(k)) return static_cast<std::uint32_t>(k);
  }
  for (std::size_t k = count; k > first_looked_at && k + last_looked_at > count; --k) {
    if (is_at(k - 1)) return static_cast<std::uint32_t>(k - 1);
  }
  shown_.push_back(band);
  return static_cast<std::uint32_t>(count);
}

void ReadingRow::push_place(std::uint32_t place) {
  if (wide_.empty() && place < fit_in_a_byte) {
    narrow_.push_back(static_cast<std::uint8_t>(place));
    return;
  }
  if (wide_.empty()) {
    wide_.reserve(narrow_.capacity());
    wide_.assign(narrow_.begin(), narrow_.end());
    narrow_ = {};
  }
  wide_.push_back(place);
}

void ReadingRow::shrink_to_fit() {
  shown_.shrink_to_fit();
  narrow_.shrink_to_fit();
  wide_.shrink_to_fit();
}

}  // namespace loomgraft
