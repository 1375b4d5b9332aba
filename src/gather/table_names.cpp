#include "gather/table_names.h"

#include <fmt/format.h>

#include <algorithm>
#include <set>
#include <string_view>

namespace loomgraft::gather {
namespace {

bool unnamed(const PinTable& table) {
  return std::all_of(table.pins.begin(), table.pins.end(),
                     [](const TablePin& pin) { return pin.connector.empty(); });
}

bool share_cavities(const PinTable& a, const PinTable& b) {
  std::set<std::string_view> cavities;
  for (const TablePin& pin : a.pins) cavities.insert(pin.cavity);
  return std::any_of(b.pins.begin(), b.pins.end(),
                     [&](const TablePin& pin) { return cavities.contains(pin.cavity); });
}

bool has_rival(const std::vector<PinTable>& tables, const std::vector<std::string>& titles,
               std::size_t which) {
  for (std::size_t other = 0; other < tables.size(); ++other) {
    const bool differs = other != which && !titles[other].empty() && titles[other] != titles[which];
    if (differs && share_cavities(tables[which], tables[other])) return true;
  }
  return false;
}

}  // namespace

void name_plugs_by_title(std::vector<PinTable>& tables, const std::vector<std::string>& titles) {
  constexpr std::size_t most = 400;  // each is compared with each
  if (tables.size() > most) return;
  std::vector<std::size_t> chosen;
  for (std::size_t i = 0; i < tables.size(); ++i)
    if (!titles[i].empty() && unnamed(tables[i]) && has_rival(tables, titles, i)) chosen.push_back(i);
  for (const std::size_t i : chosen) {
    tables[i].plug_by_title = true;
    for (TablePin& pin : tables[i].pins) pin.connector = titles[i];
  }
}

void make_names_unique(std::vector<PinTable>& tables) {
  std::set<std::string> names;
  for (PinTable& table : tables) {
    const std::string name = table.name;
    for (int count = 2; !names.insert(table.name).second; ++count)
      table.name = fmt::format("{} ({})", name, count);
  }
}

}  // namespace loomgraft::gather
