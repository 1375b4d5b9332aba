#include "plug/evidence.h"

#include <fmt/format.h>

#include <algorithm>

namespace loomgraft::plug {
namespace {

std::string describe_position(int row, int column) {
  if (row == 0 && column == 0) return "somewhere";
  if (column == 0) return fmt::format("in row {}", row);
  if (row == 0) return fmt::format("in column {}", column);
  return fmt::format("in row {}, column {}", row, column);
}

std::string as_written(const Colour& colour) {
  if (!colour.raw.empty()) return colour.raw;
  return colour.tracer.empty() ? colour.base : colour.base + "/" + colour.tracer;
}

void add_problem(Problems& problems, Severity severity, ProblemCode code, std::size_t number,
                 std::string message, std::string remedy) {
  Location location;
  location.pointer = fmt::format("/seen/{}", number);
  problems.push_back({severity, code, std::move(location), std::move(message), std::move(remedy)});
}

// Checks one item; false where nothing of it can be used.
bool read_cavity(const ObservedCavity& observed, std::size_t number, PlacedEvidence& placed,
                 Problems& problems) {
  if (observed.row < 0 || observed.column < 0) {
    add_problem(
        problems, Severity::error, "place-impossible", number, "A cavity is given a row or column below 1.",
        "Count rows from the top and columns from the left, from 1; leave both out for \"somewhere\".");
    return false;
  }
  placed = {observed.row, observed.column, {hues_of(observed.colour), observed.empty, observed.large}};
  const std::string where = describe_position(placed.row, placed.column);
  if ((placed.row == 0) != (placed.column == 0)) {
    add_problem(
        problems, Severity::note, "place-incomplete", number,
        fmt::format("Of what was seen {} only that is known; it counts as seen anywhere there.", where),
        "Give row and column where you can, for example r1c2.");
  }
  if (observed.colour.known() && placed.item.hues.base < 0) {
    add_problem(problems, Severity::warning, "colour-unknown", number,
                fmt::format("\"{}\" {} is not a known wire colour.", as_written(observed.colour), where),
                "Use letters such as BK, BN, RD, OG, YE, GN, BU, VT, GY, WH, PK or TQ, for example YE/BU.");
  } else if (!observed.colour.tracer.empty() && placed.item.hues.tracer < 0) {
    add_problem(problems, Severity::warning, "colour-unknown", number,
                fmt::format("The tracer of \"{}\" {} is not known; the base colour is used.",
                            as_written(observed.colour), where),
                "Use letters such as BK, BN, RD, OG, YE, GN, BU, VT, GY, WH, PK or TQ, for example YE/BU.");
  }
  if (placed.item.empty == true && placed.item.hues.base >= 0) {
    add_problem(problems, Severity::error, "empty-with-colour", number,
                fmt::format("The cavity {} is given as empty and with a colour; it is left out.", where),
                "State either that the cavity is empty or which colour is in it.");
    return false;
  }
  if (!placed.item.shows_wire() && !placed.item.large.has_value()) {
    add_problem(problems, Severity::warning, "nothing-seen", number,
                fmt::format("Nothing usable is stated about the cavity {}.", where),
                "Give a colour, \"empty\", \"large\" or \"small\", for example r1c2 YE/BU.");
    return false;
  }
  return true;
}

// What one item says about the wire: -1 nothing, 0 no wire, 1 a wire.
int wire_seen(const CavityEvidence& item) {
  if (item.hues.base >= 0) return 1;
  if (!item.empty.has_value()) return -1;
  return *item.empty ? 0 : 1;
}

bool contradict(const CavityEvidence& a, const CavityEvidence& b) {
  if (a.large.has_value() && b.large.has_value() && a.large != b.large) return true;
  if (wire_seen(a) >= 0 && wire_seen(b) >= 0 && wire_seen(a) != wire_seen(b)) return true;
  if (a.hues.base < 0 || b.hues.base < 0) return false;
  if (a.hues.base != b.hues.base) return true;
  return a.hues.tracer >= 0 && b.hues.tracer >= 0 && a.hues.tracer != b.hues.tracer;
}

void merge(CavityEvidence& into, const CavityEvidence& from) {
  if (into.hues.base < 0) into.hues = from.hues;
  if (into.hues.tracer < 0) into.hues.tracer = from.hues.tracer;
  if (!into.empty.has_value()) into.empty = from.empty;
  if (!into.large.has_value()) into.large = from.large;
}

struct Gathered {
  PlacedEvidence placed;
  bool contradicted = false;
};

void gather(const PlacedEvidence& placed, std::size_t number, std::vector<Gathered>& all,
            Problems& problems) {
  const auto same = std::find_if(all.begin(), all.end(), [&](const Gathered& other) {
    return other.placed.row == placed.row && other.placed.column == placed.column;
  });
  if (same == all.end()) {
    all.push_back({placed, false});
    return;
  }
  if (!contradict(same->placed.item, placed.item)) {
    merge(same->placed.item, placed.item);
    return;
  }
  same->contradicted = true;
  add_problem(problems, Severity::warning, "observation-contradicts", number,
              fmt::format("Two descriptions of the cavity {} contradict each other; neither is used.",
                          describe_position(placed.row, placed.column)),
              "Look at that cavity again and give it once.");
}

}  // namespace

PlugEvidence evidence_of(const Observation& observation, Problems& problems) {
  PlugEvidence evidence;
  evidence.latch = observation.latch;
  evidence.looked_from = observation.looked_from;
  std::vector<Gathered> positions;
  for (std::size_t i = 0; i < observation.cavities.size(); ++i) {
    PlacedEvidence placed;
    if (!read_cavity(observation.cavities[i], i, placed, problems)) continue;
    if (placed.row == 0 && placed.column == 0) {
      evidence.anywhere.push_back(placed.item);
    } else if (placed.row == 0 || placed.column == 0) {
      evidence.placed.push_back(placed);  // several wires may be seen in one row
    } else {
      gather(placed, i, positions, problems);
    }
  }
  for (const Gathered& gathered : positions) {
    if (!gathered.contradicted) evidence.placed.push_back(gathered.placed);
  }
  return evidence;
}

}  // namespace loomgraft::plug
