#include "gather/guessed_rows.h"

#include <algorithm>
#include <map>
#include <utility>

#include "text/cavity.h"

namespace loomgraft::gather {
namespace {

// Drawing measures only; nothing is computed from a guessed face.
constexpr double kPitch = 4.0e-3;
constexpr double kTerminal = 1.5e-3;
constexpr std::size_t kOneRow = 6;
constexpr std::size_t kTwoRows = 40;
constexpr std::size_t kThreeRows = 72;
constexpr int kMostGaps = 400;  // cavities that a row may skip before the numbers no longer tell positions

std::size_t row_count(std::size_t cavities) {
  if (cavities <= kOneRow) return 1;
  if (cavities <= kTwoRows) return 2;
  return cavities <= kThreeRows ? 3 : 4;
}

CavityRow make_row(std::vector<std::string> cavities, std::size_t index) {
  CavityRow row;
  row.cavities = std::move(cavities);
  row.y = Metres{static_cast<double>(index) * kPitch};
  row.pitch = Metres{kPitch};
  row.terminal_width = Metres{kTerminal};
  return row;
}

struct Named {
  CavityParts parts;
  std::string name;
};

// Numbers that the source skips get empty slots: undocumented, not absent.
std::vector<std::string> with_gaps(const std::vector<Named>& row) {
  const int from = row.front().parts.number;
  const int to = row.back().parts.number;
  std::vector<std::string> slots;
  const bool gaps = to - from < kMostGaps && static_cast<std::size_t>(to - from) < 4 * row.size() + 8;
  int next = from;
  for (const Named& cavity : row) {
    if (gaps) {
      for (; next < cavity.parts.number; ++next) slots.emplace_back();
      next = cavity.parts.number + 1;
    }
    slots.push_back(cavity.name);
  }
  return slots;
}

void add_number_rows(const std::vector<Named>& numbers, std::vector<CavityRow>& rows) {
  if (numbers.empty()) return;
  const std::vector<std::string> slots = with_gaps(numbers);
  const std::size_t count = row_count(slots.size());
  const std::size_t length = (slots.size() + count - 1) / count;
  for (std::size_t start = 0; start < slots.size(); start += length) {
    const std::size_t end = std::min(start + length, slots.size());
    rows.push_back(make_row({slots.begin() + static_cast<std::ptrdiff_t>(start),
                             slots.begin() + static_cast<std::ptrdiff_t>(end)},
                            rows.size()));
  }
}

bool single_letters(const std::string& text) {
  return !text.empty() && text.size() <= 2 &&
         std::all_of(text.begin(), text.end(), [](char c) { return c >= 'A' && c <= 'Z'; });
}

}  // namespace

std::vector<CavityRow> guess_rows(const std::vector<std::string>& cavities) {
  std::map<std::string, std::vector<Named>> lettered;  // row letter -> cavities
  std::vector<Named> numbers;
  std::vector<std::string> others;
  for (const std::string& name : cavities) {
    const CavityParts parts = split_cavity(name);
    const bool number = parts.number > 0 || name == "0";
    if (number && parts.row.empty() && parts.tail.empty()) {
      numbers.push_back({parts, name});
    } else if (number && single_letters(parts.row) && parts.tail.empty()) {
      lettered[parts.row].push_back({parts, name});
    } else if (number && parts.row.empty() && single_letters(parts.tail)) {
      lettered[parts.tail].push_back({parts, name});
    } else {
      others.push_back(name);
    }
  }
  const auto by_number = [](const Named& a, const Named& b) { return a.parts.number < b.parts.number; };
  std::stable_sort(numbers.begin(), numbers.end(), by_number);
  std::vector<CavityRow> rows;
  add_number_rows(numbers, rows);
  for (auto& [letter, row] : lettered) {
    std::stable_sort(row.begin(), row.end(), by_number);
    if (lettered.size() == 1) {
      add_number_rows(row, rows);  // "1C" to "34C": the letter is the connector's
    } else {
      rows.push_back(make_row(with_gaps(row), rows.size()));
    }
  }
  if (!others.empty()) rows.push_back(make_row(std::move(others), rows.size()));
  return rows;
}

}  // namespace loomgraft::gather
