#include "standards/wire_burns.h"

#include <algorithm>
#include <cmath>
#include <vector>

#include "standards/data_cell.h"
#include "standards/data_table.h"

namespace loomgraft {
namespace {

struct Row {
  double area;     // ln mm2
  double current;  // ln A
};

std::vector<Row> load_wire_burns() {
  const DataTable table("wire_burns.csv");
  std::vector<Row> rows;
  for (std::size_t row = 0; row < table.rows(); ++row) {
    rows.push_back({std::log(number_cell(table.at(row, table.column("area_mm2")))),
                    std::log(number_cell(table.at(row, table.column("current_a"))))});
  }
  std::ranges::sort(rows, {}, &Row::area);
  return rows;
}

}  // namespace

Amperes burning_current(SquareMetres area) {
  static const std::vector<Row> rows = load_wire_burns();
  const double at = std::log(in_square_millimetres(area));
  std::size_t k = 0;
  while (k + 2 < rows.size() && rows[k + 1].area < at) ++k;
  const Row& low = rows[k];
  const Row& high = rows[k + 1];
  const double slope = (high.current - low.current) / (high.area - low.area);
  return {std::exp(low.current + slope * (at - low.area))};
}

}  // namespace loomgraft
