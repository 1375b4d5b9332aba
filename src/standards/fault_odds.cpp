#include "standards/fault_odds.h"

#include <algorithm>
#include <vector>

#include "base/bug.h"
#include "standards/data_cell.h"

namespace loomgraft {
namespace {

std::vector<FaultOdds> load_fault_odds() {
  const DataTable table("faults.csv");
  std::vector<FaultOdds> odds;
  for (std::size_t row = 0; row < table.rows(); ++row) {
    const auto text = [&](const char* column) -> const std::string& {
      return table.at(row, table.column(column));
    };
    odds.push_back({text("kind"), text("text"), number_cell(text("new_weight")),
                    number_cell(text("old_weight")), text("source"), text("status")});
  }
  return odds;
}

}  // namespace

const FaultOdds& fault_odds(std::string_view kind) {
  static const std::vector<FaultOdds> all = load_fault_odds();
  const auto found = std::ranges::find(all, kind, &FaultOdds::kind);
  if (found == all.end()) bug("faults.csv has no " + std::string(kind));
  return *found;
}

}  // namespace loomgraft
