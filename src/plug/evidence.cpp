#include "plug/evidence.h"

#include <fmt/format.h>

#include <algorithm>

namespace loomgraft::plug {
namespace {

std::string place_words(int row, int column) {
  if (row == 0 && column == 0) return "somewhere";
  if (column == 0) return fmt::format("in row {}", row);
  if (row == 0) return fmt::format("in column {}", column);
  return fmt::format("in row {}, column {}", row, column);
}

std::string as_written(const Colour& colour) {
  if (!colour.raw.empty()) return colour.raw;
  return colour.tracer.empty() ? colour.base : colour.base + "/" + colour.tracer;
}

void complain(Problems& problems, Severity severity, const char* code, std::size_t sighting,
              std::string message, std::string remedy) {
  Location location;
  location.pointer = fmt::format("/sightings/{}", sighting);
  problems.push_back({severity, code, std::move(location), std::move(message), std::move(remedy)});
}

// Takes one sighting apart; false where nothing of it can be used.
bool read_sighting(const Sighting& sighting, std::size_t number, PlacedLook& placed, Problems& problems) {
  if (sighting.row < 0 || sighting.column < 0) {
    complain(problems, Severity::error, "place-impossible", number, "A sighting has a row or column below 1.",
             "Count rows from the top and columns from the left, from 1; leave both out for \"somewhere\".");
    return false;
  }
  placed = {sighting.row, sighting.column, {hues_of(sighting.colour), sighting.empty, sighting.large}};
  const std::string where = place_words(placed.row, placed.column);
  if ((placed.row == 0) != (placed.column == 0)) {
    complain(problems, Severity::note, "place-incomplete", number,
             fmt::format("Of the sighting {} only that is known; it counts as seen anywhere there.", where),
             "Give row and column where you can, for example r1c2.");
  }
  if (sighting.colour.known() && placed.look.hues.base < 0) {
    complain(problems, Severity::warning, "colour-unknown", number,
             fmt::format("\"{}\" {} is not a colour that wires are told apart by here.",
                         as_written(sighting.colour), where),
             "Use letters such as BK, BN, RD, OG, YE, GN, BU, VT, GY, WH, PK or TQ, for example YE/BU.");
  } else if (!sighting.colour.tracer.empty() && placed.look.hues.tracer < 0) {
    complain(problems, Severity::warning, "colour-unknown", number,
             fmt::format("The tracer of \"{}\" {} is not known; the base colour is used.",
                         as_written(sighting.colour), where),
             "Use letters such as BK, BN, RD, OG, YE, GN, BU, VT, GY, WH, PK or TQ, for example YE/BU.");
  }
  if (placed.look.empty == true && placed.look.hues.base >= 0) {
    complain(problems, Severity::error, "empty-with-colour", number,
             fmt::format("The cavity {} is called empty and has a colour; it is left out.", where),
             "Say either that the hole is empty or which colour is in it.");
    return false;
  }
  if (!placed.look.tells_wire() && !placed.look.large.has_value()) {
    complain(problems, Severity::warning, "nothing-seen", number,
             fmt::format("Nothing that can be used is said of the cavity {}.", where),
             "Give a colour, \"empty\", \"large\" or \"small\", for example r1c2 YE/BU.");
    return false;
  }
  return true;
}

// What one look says of the wire: -1 nothing, 0 no wire, 1 a wire.
int wire_told(const PlugLook& look) {
  if (look.hues.base >= 0) return 1;
  if (!look.empty.has_value()) return -1;
  return *look.empty ? 0 : 1;
}

bool contradict(const PlugLook& a, const PlugLook& b) {
  if (a.large.has_value() && b.large.has_value() && a.large != b.large) return true;
  if (wire_told(a) >= 0 && wire_told(b) >= 0 && wire_told(a) != wire_told(b)) return true;
  if (a.hues.base < 0 || b.hues.base < 0) return false;
  if (a.hues.base != b.hues.base) return true;
  return a.hues.tracer >= 0 && b.hues.tracer >= 0 && a.hues.tracer != b.hues.tracer;
}

void merge(PlugLook& into, const PlugLook& from) {
  if (into.hues.base < 0) into.hues = from.hues;
  if (into.hues.tracer < 0) into.hues.tracer = from.hues.tracer;
  if (!into.empty.has_value()) into.empty = from.empty;
  if (!into.large.has_value()) into.large = from.large;
}

struct Gathered {
  PlacedLook placed;
  bool contradicted = false;
};

void gather(const PlacedLook& placed, std::size_t number, std::vector<Gathered>& all, Problems& problems) {
  const auto same = std::find_if(all.begin(), all.end(), [&](const Gathered& other) {
    return other.placed.row == placed.row && other.placed.column == placed.column;
  });
  if (same == all.end()) {
    all.push_back({placed, false});
    return;
  }
  if (!contradict(same->placed.look, placed.look)) {
    merge(same->placed.look, placed.look);
    return;
  }
  same->contradicted = true;
  complain(problems, Severity::warning, "sightings-contradict", number,
           fmt::format("Two sightings {} contradict each other; neither is used.",
                       place_words(placed.row, placed.column)),
           "Look at that cavity again and give it once.");
}

}  // namespace

PlugEvidence evidence_of(const Glimpse& glimpse, Problems& problems) {
  PlugEvidence evidence;
  evidence.latch = glimpse.latch;
  evidence.looked_from = glimpse.looked_from;
  std::vector<Gathered> places;
  for (std::size_t i = 0; i < glimpse.sightings.size(); ++i) {
    PlacedLook placed;
    if (!read_sighting(glimpse.sightings[i], i, placed, problems)) continue;
    if (placed.row == 0 && placed.column == 0) {
      evidence.anywhere.push_back(placed.look);
    } else if (placed.row == 0 || placed.column == 0) {
      evidence.placed.push_back(placed);  // several wires may be seen in one row
    } else {
      gather(placed, i, places, problems);
    }
  }
  for (const Gathered& place : places) {
    if (!place.contradicted) evidence.placed.push_back(place.placed);
  }
  return evidence;
}

}  // namespace loomgraft::plug
