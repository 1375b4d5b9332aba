#include "draw/paper.h"

#include <map>
#include <stdexcept>
#include <string>

#include "standards/data_cell.h"
#include "standards/data_table.h"

namespace loomgraft {
namespace {

std::map<std::string, double, std::less<>> load() {
  const DataTable table("paper.csv");
  std::map<std::string, double, std::less<>> figures;
  for (std::size_t row = 0; row < table.rows(); ++row)
    figures[table.at(row, table.column("name"))] = number_cell(table.at(row, table.column("value_mm")));
  return figures;
}

}  // namespace

double paper_figure(std::string_view name) {
  static const std::map<std::string, double, std::less<>> all = load();
  const auto found = all.find(name);
  if (found == all.end()) throw std::logic_error("paper.csv has no " + std::string(name));
  return found->second;
}

PaperSize size_of(Paper paper, bool portrait) {
  const std::string name = paper == Paper::a3 ? "a3" : "a4";
  const double shorter = paper_figure(name + "_short");
  const double longer = paper_figure(name + "_long");
  return portrait ? PaperSize{shorter, longer} : PaperSize{longer, shorter};
}

}  // namespace loomgraft
