// What can be wrong in the cavities of a plug.
#include <algorithm>
#include <map>

#include "loom/end_id.h"
#include "loom/face.h"
#include "network/fault_list_internal.h"

namespace loomgraft::network {

void add_swap(FaultList& list, const WireEnd& a, const WireEnd& b, const Wire& first, const Wire& second) {
  const FaultScope& scope = list.scope();
  const bool added = is_altered(scope, &first) || is_altered(scope, &second);
  const std::string where = end_name(scope.frame, a) + " and " + end_name(scope.frame, b);
  list.add(
      FaultKind::swapped_wires,
      {FaultSubject::at(a), FaultSubject::at(b), FaultSubject::wire(first.id), FaultSubject::wire(second.id)},
      text_of(scope, first, second) + " are in each other's place (" + where + ")",
      {"places " + end_id(a) + " " + end_id(b), "exchange the terminals in " + where}, added);
}

namespace {

// A plug whose mirror image is worth suspecting.
constexpr int mirrored_from = 3;

const std::string& plug_name(const Connector& connector) {
  return connector.name.empty() ? connector.id : connector.name;
}

void add_neighbour_faults(FaultList& list, const Connector& connector, const FacePlace& place,
                          const Face& face) {
  const FaultScope& scope = list.scope();
  const WireEnd here{connector.id, place.cavity};
  const Wire* wire = allowed_wire_at(scope.frame, here);
  for (const Neighbour& beside : neighbours(face, place.cavity)) {
    const WireEnd there{connector.id, beside.cavity};
    if (is_forbidden(scope.frame, here) || is_forbidden(scope.frame, there)) continue;
    const Wire* other = allowed_wire_at(scope.frame, there);
    const bool added = is_altered(scope, wire) || is_altered(scope, other);
    if (!added) continue;
    const auto [low, high] = std::minmax(here, there);
    if (wire || other)
      list.add(
          FaultKind::bridged_cavities, {FaultSubject::at(low), FaultSubject::at(high)},
          "something joins " + end_name(scope.frame, low) + " and " + end_name(scope.frame, high),
          {"bridge " + end_id(low) + " " + end_id(high),
           "clear the bridge between " + end_name(scope.frame, low) + " and " + end_name(scope.frame, high)},
          added);
    if (wire && other)
      list.add(FaultKind::leak_between, {FaultSubject::at(low), FaultSubject::at(high)},
               "damp leaks between " + end_name(scope.frame, low) + " and " + end_name(scope.frame, high),
               {"dry " + connector.id, "dry plug " + plug_name(connector) + ", clean and seal it"}, added);
    if (!is_altered(scope, wire)) continue;
    const Repair move{
        "move " + end_id(there) + " " + end_id(here),
        "move the terminal from " + end_name(scope.frame, there) + " to " + end_name(scope.frame, here)};
    list.add(other ? FaultKind::two_in_cavity : FaultKind::one_cavity_off,
             {FaultSubject::at(here), FaultSubject::at(there), FaultSubject::wire(wire->id)},
             text_of(scope, *wire) + " is in " + end_name(scope.frame, there) +
                 (other ? " with another wire, instead of " : " instead of ") + end_name(scope.frame, here),
             move, added);
  }
}

// Two altered wires, or neighbours of one colour of which one is altered.
bool likely_swapped(const FaultScope& scope, const Wire& a, const Wire& b) {
  if (is_altered(scope, &a) && is_altered(scope, &b)) return true;
  const bool one = is_altered(scope, &a) || is_altered(scope, &b);
  return one && a.colour.base == b.colour.base && a.colour != Colour{};
}

// The plug, then of each wire its cavity, the one at the other side of its row, and the wire. Empty where
// that would touch a forbidden circuit.
std::vector<FaultSubject> mirror_subjects(const FaultScope& scope, const Connector& connector,
                                          const Face& face) {
  std::vector<FaultSubject> subjects{FaultSubject::connector(connector.id)};
  std::map<int, int> last;
  for (const FacePlace& place : face.places) last[place.row] = std::max(last[place.row], place.column);
  for (const FacePlace& place : face.places) {
    const WireEnd here{connector.id, place.cavity};
    const Wire* wire = allowed_wire_at(scope.frame, here);
    const FacePlace* across = place_at(face, place.row, last[place.row] + 1 - place.column);
    if (!wire || !across || across->cavity == place.cavity) continue;
    if (is_forbidden(scope.frame, {connector.id, across->cavity})) return {};
    subjects.insert(subjects.end(), {FaultSubject::at(here), FaultSubject::at({connector.id, across->cavity}),
                                     FaultSubject::wire(wire->id)});
  }
  return subjects;
}

}  // namespace

void add_plug_faults(FaultList& list, const Connector& connector) {
  const FaultScope& scope = list.scope();
  const Face face = face_of(connector, View::unknown);
  std::vector<std::pair<WireEnd, const Wire*>> held;
  int altered = 0;
  for (const FacePlace& place : face.places) {
    const WireEnd here{connector.id, place.cavity};
    if (const Wire* wire = allowed_wire_at(scope.frame, here)) {
      held.emplace_back(here, wire);
      altered += is_altered(scope, wire) ? 1 : 0;
    }
    add_neighbour_faults(list, connector, place, face);
  }
  for (std::size_t i = 0; i < held.size(); ++i) {
    for (std::size_t j = i + 1; j < held.size(); ++j) {
      if (held[i].second != held[j].second && likely_swapped(scope, *held[i].second, *held[j].second))
        add_swap(list, held[i].first, held[j].first, *held[i].second, *held[j].second);
    }
  }
  const std::string& name = plug_name(connector);
  if (altered > 0)
    list.add(FaultKind::plug_open, {FaultSubject::connector(connector.id)},
             "plug " + name + " is not pushed home",
             {"close " + connector.id, "push plug " + name + " home until it latches"}, true);
  if (altered < mirrored_from) return;
  std::vector<FaultSubject> subjects = mirror_subjects(scope, connector, face);
  if (subjects.size() < 2) return;
  list.add(FaultKind::mirrored_plug, std::move(subjects), "plug " + name + " is wired as its mirror image",
           {"plug " + connector.id, "take plug " + name + " apart and wire it from the other side"}, true);
}

}  // namespace loomgraft::network
