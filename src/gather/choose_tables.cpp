#include "gather/choose_tables.h"

#include <fmt/format.h>

#include <algorithm>
#include <set>

#include "text/signal_words.h"

namespace loomgraft {
namespace {

using Cavities = std::set<std::pair<std::string, std::string>>;  // connector and cavity

Cavities cavities_of(const PinTable& table) {
  Cavities cavities;
  for (const TablePin& pin : table.pins)
    cavities.emplace(table.plug_by_title ? std::string() : pin.connector, pin.cavity);
  return cavities;
}

// Half of the smaller table's cavities in common: two descriptions of one connector, not two connectors.
bool are_rivals(const Cavities& a, const Cavities& b) {
  const auto common =
      std::count_if(a.begin(), a.end(), [&](const auto& cavity) { return b.contains(cavity); });
  const std::size_t smaller = std::min(a.size(), b.size());
  return smaller > 0 && 2 * static_cast<std::size_t>(common) >= smaller;
}

std::string names_of(const std::vector<PinTable>& tables) {
  std::vector<std::string_view> names;
  for (const PinTable& table : tables) {
    if (std::find(names.begin(), names.end(), table.name) == names.end()) names.push_back(table.name);
  }
  return fmt::format("\"{}\"", fmt::join(names, "\", \""));
}

ChosenTables named(const std::vector<PinTable>& tables, const std::string& wanted, const std::string& file) {
  ChosenTables chosen;
  for (const bool whole_name : {true, false}) {
    for (const PinTable& table : tables) {
      const std::string name = lower_case(table.name);
      if (whole_name ? name == lower_case(wanted) : name.find(lower_case(wanted)) != std::string::npos)
        chosen.tables.push_back(table);
    }
    if (!chosen.tables.empty()) return chosen;
  }
  chosen.problems.push_back({Severity::error,
                             "no-such-module",
                             {file, 0, 0, ""},
                             fmt::format("The file has no table named \"{}\".", wanted),
                             "Use one of the names it has: " + names_of(tables) + "."});
  return chosen;
}

}  // namespace

ChosenTables choose_tables(const std::vector<PinTable>& tables, const std::string& wanted,
                           const std::string& file) {
  if (!wanted.empty()) return named(tables, wanted, file);
  ChosenTables chosen;
  std::vector<Cavities> taken;
  std::vector<PinTable> rivals;
  for (const PinTable& table : tables) {
    Cavities cavities = cavities_of(table);
    const bool rival = std::any_of(taken.begin(), taken.end(),
                                   [&](const Cavities& other) { return are_rivals(other, cavities); });
    if (rival) {
      rivals.push_back(table);
      continue;
    }
    taken.push_back(std::move(cavities));
    chosen.tables.push_back(table);
  }
  if (!rivals.empty()) {
    chosen.problems.push_back(
        {Severity::warning,
         "several-modules",
         {file, 0, 0, ""},
         fmt::format("The file describes some cavities more than once; \"{}\" was taken, and not {}.",
                     chosen.tables.front().name, names_of(rivals)),
         fmt::format("Add #NAME to the file name to take another one, for example \"{}#{}\".", file,
                     rivals.front().name)});
  }
  return chosen;
}

}  // namespace loomgraft
