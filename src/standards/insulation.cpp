#include "standards/insulation.h"

#include <algorithm>
#include <vector>

#include "base/ascii.h"
#include "base/bug.h"
#include "standards/data_cell.h"
#include "standards/data_table.h"

namespace loomgraft {
namespace {

// "class b", "Class B" and "B" are one; "m 22759/16" is "M22759/16".
std::string key_of(std::string_view name) {
  std::string key;
  for (const char c : name) {
    if (c != ' ' && c != '-' && c != '\t') key += upper(c);
  }
  return key.starts_with("CLASS") ? key.substr(5) : key;
}

// Fills in what the material decides. The row's status is the worse one of its own and the material's.
void add_material(Insulation& row, const DataTable& materials) {
  for (std::size_t i = 0; i < materials.rows(); ++i) {
    const auto cell = [&](std::string_view name) -> const std::string& {
      return materials.at(i, materials.column(name));
    };
    if (cell("material") != row.material) continue;
    row.short_circuit = {number_cell(cell("short_circuit_c"))};
    row.emissivity = number_cell(cell("emissivity"));
    row.conductivity = number_cell(cell("conductivity_w_per_m_k"));
    row.heat_capacity = number_cell(cell("heat_capacity_j_per_m3_k"));
    row.source += "; " + row.material + ": " + cell("source");
    if (cell("status") != "looked up") row.status = cell("status");
    return;
  }
  bug("insulation_materials.csv has no " + row.material);
}

std::vector<Insulation> load_insulation() {
  const DataTable table("insulation.csv");
  const DataTable materials("insulation_materials.csv");
  std::vector<Insulation> rows;
  for (std::size_t i = 0; i < table.rows(); ++i) {
    const auto cell = [&](std::string_view name) -> const std::string& {
      return table.at(i, table.column(name));
    };
    Insulation row;
    row.name = cell("name");
    row.material = cell("material");
    row.lowest = {number_cell(cell("lowest_c"))};
    row.highest = {number_cell(cell("highest_c"))};
    row.source = cell("source");
    row.status = cell("status");
    add_material(row, materials);
    rows.push_back(std::move(row));
  }
  return rows;
}

}  // namespace

std::span<const Insulation> insulations() {
  static const std::vector<Insulation> rows = load_insulation();
  return rows;
}

const Insulation* insulation(std::string_view name) {
  const std::string key = key_of(name);
  if (key.empty()) return nullptr;
  const auto rows = insulations();
  const auto found =
      std::ranges::find_if(rows, [&](const Insulation& row) { return key_of(row.name) == key; });
  return found == rows.end() ? nullptr : &*found;
}

}  // namespace loomgraft
