#include "standards/terminal_fit.h"

#include <cmath>
#include <vector>

#include "standards/data_cell.h"

namespace loomgraft {
namespace {

double number(const DataTable& table, std::size_t row, const char* column) {
  return number_cell(table.at(row, table.column(column)));
}

std::vector<TerminalFit> read_fits() {
  const DataTable table("terminal_fit.csv");
  std::vector<TerminalFit> fits;
  for (std::size_t row = 0; row < table.rows(); ++row) {
    fits.push_back({millimetres(number(table, row, "width_mm")),
                    square_millimetres(number(table, row, "smallest_mm2")),
                    square_millimetres(number(table, row, "largest_mm2")),
                    table.at(row, table.column("source")), table.at(row, table.column("status"))});
  }
  return fits;
}

struct PullRow {
  SquareMetres area;
  PullForce force;
};

std::vector<PullRow> read_pulls() {
  const DataTable table("crimp_pull.csv");
  std::vector<PullRow> rows;
  for (std::size_t row = 0; row < table.rows(); ++row) {
    rows.push_back({square_millimetres(number(table, row, "area_mm2")),
                    {{number(table, row, "least_n")},
                     table.at(row, table.column("source")),
                     table.at(row, table.column("status"))}});
  }
  return rows;
}

}  // namespace

const TerminalFit* terminal_fit(Metres width) {
  static const std::vector<TerminalFit> fits = read_fits();
  for (const TerminalFit& fit : fits) {
    if (std::abs(width / fit.width - 1.0) <= 0.1) return &fit;
  }
  return nullptr;
}

std::optional<TerminalCurrent> terminal_current(Metres width, SquareMetres area) {
  static const DataTable table("terminal_currents.csv");
  std::optional<TerminalCurrent> found;
  double nearest = 0.1;  // of the width
  double taken = 0.0;    // area of the row
  for (std::size_t row = 0; row < table.rows(); ++row) {
    const double distance = std::abs(width / millimetres(number(table, row, "width_mm")) - 1.0);
    const double of_row = square_millimetres(number(table, row, "wire_mm2")).si;
    if (distance > nearest) continue;
    const bool closer = distance < nearest || !found;
    const bool thicker = of_row <= area.si * 1.02 && of_row > taken;
    if (!closer && !thicker) continue;
    nearest = distance;
    taken = of_row;
    found = TerminalCurrent{{number(table, row, "current_a")},
                            table.at(row, table.column("source")),
                            table.at(row, table.column("status"))};
  }
  return found;
}

std::optional<PullForce> pull_force(SquareMetres area) {
  static const std::vector<PullRow> rows = read_pulls();
  std::optional<PullForce> force;
  for (const PullRow& row : rows) {
    if (row.area.si <= area.si * 1.02) force = row.force;
  }
  return force;
}

}  // namespace loomgraft
