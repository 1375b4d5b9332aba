#include "compare/moves.h"

#include <algorithm>
#include <map>
#include <optional>
#include <set>
#include <utility>

#include "text/natural_order.h"

namespace loomgraft {
namespace {

struct NaturalOrder {
  bool operator()(const CavityRef& a, const CavityRef& b) const {
    const int order = natural_compare(a.connector, b.connector);
    return order != 0 ? order < 0 : natural_compare(a.cavity, b.cavity) < 0;
  }
};

Problem refuse(ProblemCode code, std::string message) {
  return {Severity::error,
          code,
          {},
          std::move(message),
          "Check the two pin tables for this cavity, then compare again."};
}

// The request by cavity: which terminal leaves it, which one goes there.
struct Changes {
  const MoveRequest* request = nullptr;
  std::map<CavityRef, const Shift*, NaturalOrder> shift_from;
  std::map<CavityRef, const Shift*, NaturalOrder> shift_to;
  std::map<CavityRef, const Loose*, NaturalOrder> retired;
  std::map<CavityRef, const Loose*, NaturalOrder> added;
  std::set<std::string> sealed;

  bool leaves(const CavityRef& at) const { return shift_from.contains(at) || retired.contains(at); }
  bool arrives(const CavityRef& at) const { return shift_to.contains(at) || added.contains(at); }
  bool is_sealed(const CavityRef& at) const { return sealed.contains(at.connector); }
  std::string text_of(const CavityRef& at) const {
    const auto name = request->connector_names.find(at.connector);
    return (name == request->connector_names.end() ? at.connector : name->second) + " cavity " + at.cavity;
  }
};

std::optional<Problem> note_leaving(const Changes& changes, const CavityRef& at) {
  if (at.connector.empty() || at.cavity.empty()) {
    return refuse("move-no-cavity", "A terminal is to leave a cavity that has no name.");
  }
  if (changes.leaves(at)) {
    return refuse("move-collision", "Two changes take the terminal out of " + changes.text_of(at) + ".");
  }
  return std::nullopt;
}

std::optional<Problem> note_arriving(const Changes& changes, const CavityRef& at) {
  if (at.connector.empty() || at.cavity.empty()) {
    return refuse("move-no-cavity", "A terminal is to go into a cavity that has no name.");
  }
  if (changes.arrives(at)) {
    return refuse("move-collision", "Two changes put a terminal into " + changes.text_of(at) + ".");
  }
  return std::nullopt;
}

std::optional<Problem> check_kept(const Changes& changes, const std::vector<CavityRef>& kept) {
  for (const CavityRef& at : kept) {
    if (changes.leaves(at)) {
      return refuse("move-collision", "The terminal in " + changes.text_of(at) + " is to stay and to leave.");
    }
    if (changes.arrives(at)) {
      return refuse("move-collision",
                    "A terminal is to go into " + changes.text_of(at) + ", where another one is to stay.");
    }
  }
  return std::nullopt;
}

tl::expected<Changes, Problem> index_changes(const MoveRequest& request) {
  Changes changes;
  changes.request = &request;
  changes.sealed.insert(request.sealed_connectors.begin(), request.sealed_connectors.end());
  std::vector<CavityRef> kept = request.kept;
  for (const Shift& shift : request.shifts) {
    if (auto problem = note_leaving(changes, shift.from)) return tl::unexpected(*problem);
    if (auto problem = note_arriving(changes, shift.to)) return tl::unexpected(*problem);
    if (shift.from == shift.to) {
      kept.push_back(shift.from);  // it stays, so nothing else may come or go there
    } else {
      changes.shift_from[shift.from] = &shift;
      changes.shift_to[shift.to] = &shift;
    }
  }
  for (const Loose& loose : request.retirements) {
    if (auto problem = note_leaving(changes, loose.at)) return tl::unexpected(*problem);
    changes.retired[loose.at] = &loose;
  }
  for (const Loose& loose : request.additions) {
    if (auto problem = note_arriving(changes, loose.at)) return tl::unexpected(*problem);
    changes.added[loose.at] = &loose;
  }
  if (auto problem = check_kept(changes, kept)) return tl::unexpected(*problem);
  return changes;
}

// Writes steps and counts them.
class Writer {
 public:
  explicit Writer(const Changes& changes) : changes_(changes) {}

  void retire(const Loose& loose) {
    step(MoveAction::retire, loose.at, {}, loose.signal,
         "Insulate the terminal at once and tie the wire back.");
    plan_.steps.back().loses = loose.loses;
    plan_.steps.back().insulate = true;
    ++plan_.extractions;
  }

  void park(const Shift& shift) {
    step(MoveAction::park, shift.from, {}, shift.signal,
         "Insulate the terminal at once and mark the wire: it goes into " + changes_.text_of(shift.to) +
             " last.");
    plan_.steps.back().insulate = true;
    ++plan_.extractions;
    ++plan_.parkings;
  }

  void move(const Shift& shift) {
    open_cavity(shift.to);
    step(MoveAction::move, shift.from, shift.to, shift.signal, insertion_note(shift));
    ++plan_.extractions;
    ++plan_.insertions;
  }

  void insert_parked(const Shift& shift) {
    step(MoveAction::insert_parked, {}, shift.to, shift.signal,
         "Take the insulation off. " + insertion_note(shift));
    ++plan_.insertions;
  }

  void add(const Loose& loose) {
    open_cavity(loose.at);
    const char* note =
        changes_.is_sealed(loose.at)
            ? "Put a wire seal on before the terminal is crimped. Push in until it locks, then tug."
            : "Push in until it locks, then tug.";
    step(MoveAction::add, {}, loose.at, loose.signal, note);
    ++plan_.insertions;
  }

  // For a cavity that a terminal has just left for good.
  void close_if_empty(const CavityRef& at) {
    if (!changes_.is_sealed(at) || changes_.arrives(at)) return;
    step(MoveAction::plug_cavity, {}, at, {}, "The cavity stays empty: push in a cavity plug.");
    ++plan_.cavity_plugs_in;
  }

  MovePlan take() { return std::move(plan_); }

 private:
  void open_cavity(const CavityRef& at) {
    if (!changes_.is_sealed(at) || changes_.leaves(at)) return;
    step(MoveAction::unplug_cavity, at, {}, {}, "The cavity was empty: take its plug out and keep it.");
    ++plan_.cavity_plugs_out;
  }

  std::string insertion_note(const Shift& shift) const {
    std::string note = "Push in until it locks, then tug.";
    if (!changes_.is_sealed(shift.to)) return note;
    if (changes_.is_sealed(shift.from)) return note + " Check the wire seal; fit a new one if it is cut.";
    return note + " This connector is sealed: the wire needs a seal, so a new terminal is crimped over one.";
  }

  void step(MoveAction action, const CavityRef& from, const CavityRef& to, std::string signal,
            std::string note) {
    plan_.steps.push_back(
        {static_cast<int>(plan_.steps.size()) + 1, action, from, to, std::move(signal), std::move(note)});
  }

  const Changes& changes_;
  MovePlan plan_;
};

// Steps that belong together: a path of shifts (from the one whose target is free to the one that leaves its
// cavity empty), a cycle (from the one parked), or a retirement that no shift follows.
struct Group {
  CavityRef place;  // where it stands in the order
  bool cycle = false;
  std::vector<const Shift*> shifts;
  const Loose* retirement = nullptr;
};

// `first`, then the shift into the cavity that it leaves, and so on.
std::vector<const Shift*> follow(const Changes& changes, const Shift* first) {
  std::vector<const Shift*> chain{first};
  for (;;) {
    const auto next = changes.shift_to.find(chain.back()->from);
    if (next == changes.shift_to.end() || next->second == first) return chain;
    chain.push_back(next->second);
  }
}

std::vector<Group> find_groups(const Changes& changes) {
  std::vector<Group> groups;
  std::set<const Shift*> seen;
  for (const auto& [to, shift] : changes.shift_to) {
    if (changes.shift_from.contains(to)) continue;
    const auto retired = changes.retired.find(to);
    groups.push_back(
        {to, false, follow(changes, shift), retired == changes.retired.end() ? nullptr : retired->second});
    seen.insert(groups.back().shifts.begin(), groups.back().shifts.end());
  }
  for (const auto& [at, loose] : changes.retired) {
    if (!changes.shift_to.contains(at)) groups.push_back({at, false, {}, loose});
  }
  // What is left are cycles; the first cavity in order is the one whose terminal is parked.
  for (const auto& [from, shift] : changes.shift_from) {
    if (seen.contains(shift)) continue;
    groups.push_back({from, true, follow(changes, shift), nullptr});
    seen.insert(groups.back().shifts.begin(), groups.back().shifts.end());
  }
  std::sort(groups.begin(), groups.end(), [](const Group& a, const Group& b) {
    if (const int order = natural_compare(a.place.connector, b.place.connector); order != 0) return order < 0;
    if (a.cycle != b.cycle) return b.cycle;
    return natural_compare(a.place.cavity, b.place.cavity) < 0;
  });
  return groups;
}

void write_group(Writer& writer, const Group& group) {
  if (group.retirement != nullptr) writer.retire(*group.retirement);
  if (group.cycle) {
    writer.park(*group.shifts.front());
    for (std::size_t i = 1; i < group.shifts.size(); ++i) writer.move(*group.shifts[i]);
    writer.insert_parked(*group.shifts.front());
    return;
  }
  for (const Shift* shift : group.shifts) writer.move(*shift);
  writer.close_if_empty(group.shifts.empty() ? group.place : group.shifts.back()->from);
}

}  // namespace

tl::expected<MovePlan, Problem> order_moves(const MoveRequest& request) {
  const auto changes = index_changes(request);
  if (!changes) return tl::unexpected(changes.error());
  Writer writer(*changes);
  for (const Group& group : find_groups(*changes)) write_group(writer, group);
  for (const auto& [at, loose] : changes->added) writer.add(*loose);
  return writer.take();
}

AdapterLead adapter_lead(const MoveRequest& request, int kept) {
  AdapterLead lead;
  for (const Shift& shift : request.shifts) {
    ++lead.wires;
    if (shift.from != shift.to) ++lead.crossed;
  }
  lead.wires += std::max(kept, 0);
  // Each circuit gains one plugged contact (old plug to adapter) and the crimps at both ends of the adapter's
  // wire.
  lead.joints = 3 * lead.wires;
  lead.limits.emplace_back(
      "It needs a header that takes the vehicle's plugs: from the old module's case, or one of the same "
      "make.");
  if (lead.wires > 0) {
    lead.limits.emplace_back(
        "Every joint adds resistance: sensor earths, supplies and small signals are measured again under "
        "load.");
  }
  if (!request.additions.empty()) {
    lead.limits.push_back(
        "It does not bring what the loom lacks: " + std::to_string(request.additions.size()) +
        (request.additions.size() == 1 ? " wire still runs" : " wires still run") +
        " from the donor's plug to the device.");
  }
  if (!request.retirements.empty()) {
    lead.limits.push_back("Circuits that the donor does not use end in the old plug (" +
                          std::to_string(request.retirements.size()) +
                          "): they stay live there, and what they drove stands still.");
  }
  if (!request.sealed_connectors.empty()) {
    lead.limits.emplace_back(
        "A sealed connector is as tight as the adapter: both of its ends need seals as well.");
  }
  return lead;
}

const char* name_of(MoveAction action) {
  constexpr const char* names[] = {"retire", "park",        "move",         "insert_parked",
                                   "add",    "plug_cavity", "unplug_cavity"};
  return names[static_cast<int>(action)];
}

}  // namespace loomgraft
