#include "prove/probe_minutes.h"

#include <map>
#include <stdexcept>
#include <string>

#include "standards/data_cell.h"
#include "standards/data_table.h"

namespace loomgraft {
namespace {

std::map<std::string, double, std::less<>> load() {
  const DataTable table("probe_minutes.csv");
  std::map<std::string, double, std::less<>> minutes;
  for (std::size_t row = 0; row < table.rows(); ++row)
    minutes[table.at(row, table.column("name"))] = number_cell(table.at(row, table.column("minutes")));
  return minutes;
}

}  // namespace

double probe_minutes(std::string_view name) {
  static const std::map<std::string, double, std::less<>> all = load();
  const auto found = all.find(name);
  if (found == all.end()) throw std::logic_error("probe_minutes.csv has no " + std::string(name));
  return found->second;
}

}  // namespace loomgraft
