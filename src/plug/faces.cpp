#include "plug/faces.h"

#include <algorithm>
#include <cmath>
#include <map>

namespace loomgraft::plug {
namespace {

// Of several pins of one cavity one with a colour is preferred.
std::map<std::string, const Pin*, std::less<>> pins_by_cavity(const std::vector<Pin>& pins) {
  std::map<std::string, const Pin*, std::less<>> found;
  for (const Pin& pin : pins) {
    if (pin.at.cavity.empty()) continue;
    const Pin*& slot = found[pin.at.cavity];
    if (slot == nullptr || (!slot->colour.known() && pin.colour.known())) slot = &pin;
  }
  return found;
}

// Large or small is relative to the plug's other cavities; where all are alike, to the threshold in the data.
void set_sizes(const Face& face, std::vector<PlugCell>& cells, const PlugOdds& odds) {
  double smallest = INFINITY;
  double largest = 0.0;
  for (const FacePlace& place : face.places) {
    const double mm = in_millimetres(place.terminal_width);
    if (!(mm > 0.0)) continue;
    smallest = std::min(smallest, mm);
    largest = std::max(largest, mm);
  }
  const bool alike = !(largest > 1.3 * smallest);
  const double threshold = alike ? odds.large_from_mm : std::sqrt(smallest * largest);
  const double mistaken = alike ? odds.size_mistaken_alone : odds.size_mistaken;
  for (std::size_t i = 0; i < face.places.size(); ++i) {
    const double mm = in_millimetres(face.places[i].terminal_width);
    if (mm > 0.0) cells[i].large = mm >= threshold ? 1.0 - mistaken : mistaken;
  }
}

PlugFaces::Orientation orientation_of(const Connector& connector, View view, bool turned,
                                      const std::map<std::string, int, std::less<>>& index) {
  const Face face = face_of(connector, view, turned);
  PlugFaces::Orientation orientation{view, turned, face.latch, {}};
  orientation.grid.rows.resize(static_cast<std::size_t>(face.rows));
  for (const FacePlace& place : face.places) {
    orientation.grid.rows[static_cast<std::size_t>(place.row - 1)].push_back(
        index.find(place.cavity)->second);
  }
  return orientation;
}

}  // namespace

PlugFaces faces_of(const PlugCandidate& candidate, const PlugOdds& odds) {
  const Connector& connector = *candidate.connector;
  const auto pins = pins_by_cavity(candidate.pins);
  const bool tracers_given = std::any_of(candidate.pins.begin(), candidate.pins.end(),
                                         [](const Pin& pin) { return !pin.colour.tracer.empty(); });
  const Face drawn = face_of(connector, View::unknown);
  PlugFaces faces;
  faces.connector = connector.id;
  faces.view_assumed = drawn.view_assumed;
  std::map<std::string, int, std::less<>> index;
  const auto add = [&](const std::string& cavity, const Pin* pin) {
    index.try_emplace(cavity, static_cast<int>(faces.cells.size()));
    faces.cavities.push_back(cavity);
    faces.cells.push_back(cell_of(pin, tracers_given, odds));
  };
  for (const FacePlace& place : drawn.places) {
    const auto pin = pins.find(place.cavity);
    add(place.cavity, pin == pins.end() ? nullptr : pin->second);
  }
  set_sizes(drawn, faces.cells, odds);
  for (const auto& [cavity, pin] : pins) {
    if (!index.contains(cavity)) add(cavity, pin);
  }
  faces.orientations = {orientation_of(connector, View::wire_entry, false, index),
                        orientation_of(connector, View::wire_entry, true, index),
                        orientation_of(connector, View::mating, false, index),
                        orientation_of(connector, View::mating, true, index)};
  faces.misplaced =
      connector.rows_guessed || drawn.geometry_assumed ? odds.misplaced_guessed : odds.misplaced;
  if (drawn.places.empty()) faces.misplaced = 1.0;
  return faces;
}

int first_cavity(const PlugFaces& faces) {
  for (const char* name : {"1", "01", "A1", "1A", "a1", "1a"}) {
    const auto found = std::find(faces.cavities.begin(), faces.cavities.end(), name);
    if (found != faces.cavities.end()) return static_cast<int>(found - faces.cavities.begin());
  }
  return faces.cavities.empty() ? -1 : 0;
}

}  // namespace loomgraft::plug
