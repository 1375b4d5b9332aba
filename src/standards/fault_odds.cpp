#include "standards/fault_odds.h"

#include <algorithm>
#include <stdexcept>
#include <vector>

#include "standards/data_table.h"
#include "text/number.h"

namespace loomgraft {
namespace {

double number(const DataTable& table, std::size_t row, const char* column) {
  return read_number(table.at(row, table.column(column)), DecimalMark::point)->value;
}

std::vector<FaultOdds> load_fault_odds() {
  const DataTable table("faults.csv");
  std::vector<FaultOdds> odds;
  for (std::size_t row = 0; row < table.rows(); ++row) {
    const auto text = [&](const char* column) { return table.at(row, table.column(column)); };
    odds.push_back({text("kind"), text("words"), number(table, row, "new_weight"),
                    number(table, row, "old_weight"), text("source"), text("status")});
  }
  return odds;
}

}  // namespace

const FaultOdds& fault_odds(std::string_view kind) {
  static const std::vector<FaultOdds> all = load_fault_odds();
  const auto found = std::ranges::find(all, kind, &FaultOdds::kind);
  if (found == all.end()) throw std::logic_error("faults.csv has no " + std::string(kind));
  return *found;
}

}  // namespace loomgraft
