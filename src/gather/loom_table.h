// Rows of a table of the loom (its wires, devices, places) out of a file, as the workbench writes and takes them.
//
// Model   the head of each column says what it means (data/loom_heads.csv, in several languages, with a unit: "Length
//         (mm)"); a row belongs to the item of its id, else of its two ends (wires), else of its name, or is new. Ends are
//         written as people write them: "C2-31", "fog lamp left:2", "earth" where a device has one terminal
// Needs   a head line
// Gives   the changed graft, and for each row what it does. An empty cell leaves what is there
// Fails   a row that cannot be used is a Problem (bad-record) with its line, and changes nothing; the others are in the graft
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "base/problem.h"
#include "loom/graft.h"

namespace loomgraft {

enum class LoomTable { wires, devices, fuses, earths, joints, places };
constexpr std::string_view name_of(LoomTable table) {
  constexpr std::string_view names[] = {"wires", "devices", "fuses", "earths", "joints", "places"};
  return names[static_cast<int>(table)];
}

enum class LoomRowVerdict { added, changed, same, unusable };
constexpr std::string_view name_of(LoomRowVerdict verdict) {
  constexpr std::string_view names[] = {"added", "changed", "as it is", "unusable"};
  return names[static_cast<int>(verdict)];
}

struct LoomRow {
  int line = 0;  // in the file, from 1
  LoomRowVerdict verdict = LoomRowVerdict::same;
  std::string name;  // of the item, for people
  std::string text;  // what is set, or why the row cannot be used
};

struct LoomTableReading {
  Graft graft;
  std::vector<LoomRow> rows;
  std::vector<std::string> ignored;  // heads without a meaning for this table
  Problems problems;
};

// `file` is the name shown in locations; nothing is opened.
LoomTableReading read_loom_table(const Graft& graft, LoomTable table, std::string_view bytes,
                                 const std::string& file);

}  // namespace loomgraft
