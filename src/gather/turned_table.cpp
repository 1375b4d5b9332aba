#include "gather/turned_table.h"

#include <algorithm>
#include <set>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "gather/column_roles.h"
#include "text/cavity.h"

namespace loomgraft::gather {
namespace {

constexpr std::size_t kMostBands = 64;

using Row = std::vector<Cell>;

// Cells with a single cavity each, all different, in every filled position but the first.
bool is_band_head(const Row& row) {
  std::set<std::string> seen;
  std::size_t filled = 0;
  for (std::size_t i = 1; i < row.size(); ++i) {
    if (row[i].text.empty()) continue;
    const CavityReading reading = read_cavities(row[i].text);
    if (!looks_like_cavities(row[i].text) || reading.cavities.size() != 1) return false;
    if (!seen.insert(reading.cavities[0].cavity).second) return false;
    ++filled;
  }
  return filled >= 3;
}

// A band's first cell is a label ("Pin") or is itself a cavity where there are no labels.
bool first_is_cavity(const Row& row) {
  return !row.empty() && looks_like_cavities(row[0].text);
}

struct Band {
  const Row* head = nullptr;
  std::vector<const Row*> rows;
};

std::vector<Band> bands_of(const Table& table) {
  std::vector<const Row*> rows;
  if (!table.header.empty()) rows.push_back(&table.header);
  for (const Row& row : table.rows) rows.push_back(&row);
  std::vector<Band> bands;
  for (const Row* row : rows) {
    if (is_band_head(*row)) {
      bands.push_back({row, {}});
    } else if (bands.empty()) {
      return {};
    } else {
      bands.back().rows.push_back(row);
    }
    if (bands.size() > kMostBands) return {};
  }
  return bands;
}

// "Pin | 9 | 10" over rows that are all numbers is a plain grid of figures, not a pin table.
bool says_something(const std::vector<Band>& bands) {
  return std::all_of(bands.begin(), bands.end(), [](const Band& band) {
    return !band.rows.empty() && band.rows.size() <= 6 &&
           std::any_of(band.rows.begin(), band.rows.end(), [](const Row* row) {
             return std::any_of(row->begin(), row->end(), [](const Cell& cell) {
               return cell.text.size() > 1 && !looks_like_cavities(cell.text);
             });
           });
  });
}

void turn_band(const Band& band, std::size_t from, Table& turned) {
  for (std::size_t column = from; column < band.head->size(); ++column) {
    if ((*band.head)[column].text.empty()) continue;
    Row row{(*band.head)[column]};
    for (const Row* below : band.rows) row.push_back(cell_at(*below, column));
    turned.rows.push_back(std::move(row));
  }
}

}  // namespace

std::optional<Table> turn_table(const Table& table) {
  const std::vector<Band> bands = bands_of(table);
  if (bands.empty() || !says_something(bands)) return std::nullopt;
  const bool labelled = !first_is_cavity(*bands[0].head);
  // A single band under a real head of three columns is an ordinary table whose heads happen to be numbers.
  if (!labelled && bands[0].head->size() < 4) return std::nullopt;
  Table turned;
  turned.name = table.name;
  turned.lines_before = table.lines_before;
  turned.lines_after = table.lines_after;
  turned.form = table.form;
  if (labelled) {
    turned.header.push_back((*bands[0].head)[0]);
    if (turned.header[0].text.empty()) turned.header[0].text = "Pin";
    for (const Row* row : bands[0].rows) turned.header.push_back(cell_at(*row, 0));
  }
  for (const Band& band : bands) turn_band(band, labelled ? 1 : 0, turned);
  return turned;
}

}  // namespace loomgraft::gather
