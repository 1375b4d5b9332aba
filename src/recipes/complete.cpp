#include "recipes/complete.h"

#include <algorithm>
#include <optional>
#include <set>

#include "loom/plan.h"
#include "network/cavity_pins.h"
#include "network/joined_ends.h"
#include "recipes/loom_edits.h"
#include "recipes/offer.h"
#include "recipes/open_wires.h"
#include "recipes/part_names.h"
#include "recipes/partners.h"
#include "recipes/parts_internal.h"
#include "recipes/places.h"
#include "recipes/rails.h"
#include "recipes/recipe.h"
#include "standards/pin_states.h"
#include "standards/relay_choice.h"

namespace loomgraft {

using namespace recipes;
namespace {

struct Draft {
  Completion result;
  const Recipe& recipe;
  const ForbiddenParts& forbidden;  // none of it is joined to
  std::size_t system = 0;           // SystemVolts as an index
  bool added = true;                // the circuit belongs to the plan; else to the loom as found
  std::string base;                 // what the circuit is called
  std::string twist;
  std::map<std::string, std::string> devices;  // ids by "kind:role"
  std::set<std::string> existing;              // of those, which were there before
  std::map<std::string, CavityRef> pins;       // by role
  std::size_t fuses = 0;                       // given a rating so far

  Graft& graft() { return result.graft; }
};

// ---- wires
// The recipe's usual size of a wire that is there already; what the plan adds is sized by design/.
std::optional<SquareMetres> usual_area(const Draft& draft, std::initializer_list<const char*> purposes) {
  for (const char* purpose : purposes) {
    const auto found = draft.recipe.areas.find(purpose);
    if (found != draft.recipe.areas.end() && found->second[draft.system].si > 0)
      return found->second[draft.system];
  }
  if (draft.recipe.areas.empty()) return std::nullopt;
  const SquareMetres first = draft.recipe.areas.begin()->second[draft.system];
  return first.si > 0 ? std::optional(first) : std::nullopt;
}

std::optional<SquareMetres> area_of(const Draft& draft, const WireEnd& from, const WireEnd& to) {
  const auto is_kind = [&](const WireEnd& end, const char* kind) {
    const Device* device = find_by_id(draft.result.graft.devices, end.at);
    return device && device->kind == kind;
  };
  const bool coil = from.cavity == "86" || to.cavity == "86" || from.cavity == "85" || to.cavity == "85";
  if (coil) return usual_area(draft, {"coil", "pin", "signal"});
  if (is_kind(from, "earth") || is_kind(to, "earth")) return usual_area(draft, {"earth", "load", "feed"});
  return usual_area(draft, {"load", "feed", "motor", "rail", "signal"});
}

void add_wire(Draft& draft, const std::string& signal, const WireEnd& from, const WireEnd& to,
              const std::string& twist) {
  if (from == to) return;
  for (const Wire& wire : as_planned(draft.graft()).wires) {
    if ((wire.from == from && wire.to == to) || (wire.from == to && wire.to == from)) return;
  }
  Wire wire;
  wire.id = free_id(draft.graft(), draft.added ? "new_" + to.at : "w_" + to.at);
  wire.signal = signal;
  wire.from = from;
  wire.to = to;
  wire.twist = twist;
  draft.result.wires.push_back(wire.id);
  if (!draft.added) {
    wire.guessed = true;
    wire.area = area_of(draft, from, to);
    draft.graft().wires.push_back(std::move(wire));
    return;
  }
  PlanStep step;
  step.action = PlanAction::add;
  step.added = std::move(wire);
  step.reason = draft.recipe.text;
  draft.graft().plan.push_back(std::move(step));
}

// A fuse plugs into a slot of the fuse box, whose bar feeds it: brass, there already, no wire to make.
void add_bar(Draft& draft, const WireEnd& feed, const WireEnd& fuse) {
  Wire bar;
  bar.id = free_id(draft.graft(), "bar_" + fuse.at);
  bar.signal = "bar of the fuse box";
  bar.from = feed;
  bar.to = fuse;
  bar.area = square_millimetres(25);
  bar.length = millimetres(50);
  bar.guessed = true;
  draft.result.wires.push_back(bar.id);
  draft.graft().wires.push_back(std::move(bar));
}

WireEnd joint_as_found(Draft& draft, const std::string& name) {
  Device joint;
  joint.id = free_id(draft.graft(), id_like(name + " joint"));
  joint.name = name + " joint";
  joint.kind = "splice";
  joint.recipe = draft.recipe.id;
  joint.guessed = true;
  draft.result.devices.push_back(joint.id);
  draft.graft().devices.push_back(joint);
  return {joint.id, terminal_names(joint).front()};
}

// The wire in a cavity of the planned loom: where it is kept, and its far end.
struct WireInCavity {
  std::string id;
  WireEnd far;
};

std::optional<WireInCavity> wire_in(const Graft& graft, const CavityRef& at) {
  for (const Wire& wire : as_planned(graft).wires) {
    if (wire.from.at == at.connector && wire.from.cavity == at.cavity) return WireInCavity{wire.id, wire.to};
    if (wire.to.at == at.connector && wire.to.cavity == at.cavity) return WireInCavity{wire.id, wire.from};
  }
  return std::nullopt;
}

void set_open_end(Wire& wire, const WireEnd& end, const std::string& twist) {
  (wire.from.at.empty() ? wire.from : wire.to) = end;
  if (!twist.empty()) wire.twist = twist;
}

// Follows the open wire of a pin to `end`. A wire that was there leads somewhere already: a new circuit joins it there.
void lead_open_wire(Draft& draft, const std::string& id, const WireEnd& end) {
  Graft& graft = draft.graft();
  for (PlanStep& step : graft.plan) {
    if (step.added && step.added->id == id) return set_open_end(*step.added, end, draft.twist);
  }
  Wire* wire = find_by_id(graft.wires, id);
  if (!wire) return;
  const std::string name = wire->signal.empty() ? draft.base : wire->signal;
  if (draft.added) {
    const WireEnd joint = joint_as_found(draft, name);
    wire = find_by_id(draft.graft().wires, id);
    set_open_end(*wire, joint, "");
    wire->guessed = true;
    return add_wire(draft, draft.base, joint, end, "");
  }
  set_open_end(*wire, end, draft.twist);
  wire->guessed = true;
  if (!wire->area) wire->area = usual_area(draft, {"pin", "signal", "coil", "trigger", "high", "feed"});
}

// Where a further wire can join one that leads somewhere: at the joint, earth or rail that it ends at, else at a joint put
// into it, since a terminal takes one wire.
std::optional<WireEnd> joint_in(Draft& draft, const std::string& wire, const WireEnd& far) {
  const Device* device = find_by_id(draft.graft().devices, far.at);
  if (!device) return std::nullopt;
  const DeviceBuild build = build_of(*device);
  if (build == DeviceBuild::splice || build == DeviceBuild::earth || build == DeviceBuild::battery)
    return far;
  Completion joined = insert_joint(draft.graft(), wire, draft.added);
  if (joined.devices.empty()) return std::nullopt;
  draft.graft() = std::move(joined.graft);
  draft.result.devices.insert(draft.result.devices.end(), joined.devices.begin(), joined.devices.end());
  draft.result.wires.insert(draft.result.wires.end(), joined.wires.begin(), joined.wires.end());
  Device& joint = *find_by_id(draft.graft().devices, joined.devices.front());
  joint.recipe = draft.recipe.id;
  return WireEnd{joint.id, terminal_names(joint).front()};
}

void join_pin(Draft& draft, const std::string& role, const WireEnd& end) {
  const auto at = draft.pins.find(role);
  if (at == draft.pins.end()) return;
  const auto wire = wire_in(draft.graft(), at->second);
  if (!wire) return add_wire(draft, draft.base, {at->second.connector, at->second.cavity}, end, draft.twist);
  if (wire->far.at.empty()) return lead_open_wire(draft, wire->id, end);
  if (const auto joint = joint_in(draft, wire->id, wire->far))
    return add_wire(draft, draft.base, *joint, end, "");
  draft.result.problems.push_back({Severity::warning,
                                   "partner-pin-in-use",
                                   {},
                                   "The wire in cavity " + at->second.cavity + " leads to another plug, so " +
                                       draft.base + " could not be joined to it.",
                                   "Put a joint into that wire, then join the new wire to it."});
}

// ---- devices
void set_figures(Draft& draft, const RecipePart& part, Device& device) {
  const std::size_t system = draft.system;
  if (part.kind == "fuse" || part.kind == "fusible_link") {
    if (draft.fuses < draft.recipe.feeds.size()) device.rating = draft.recipe.feeds[draft.fuses].fuse[system];
    ++draft.fuses;
  }
  const auto ohms = draft.recipe.ohms.find(part.role);
  if (part.kind == "relay") {
    const Amperes load = draft.recipe.current[system];
    device.model = relay_for(draft.graft().vehicle.supply, load);
  }
  if (part.kind == "resistor" && ohms != draft.recipe.ohms.end()) device.resistance = ohms->second[system];
  const std::size_t loads = loads_in(draft.recipe);
  if (is_load(draft.recipe, part) && draft.recipe.current[system].si > 0)
    device.current = Amperes{draft.recipe.current[system].si / static_cast<double>(loads)};
}

std::string place_by_name(const Graft& graft, const RecipePart& part, const std::string& name) {
  if (part.kind == "fuse" || part.kind == "relay" || part.kind == "fusible_link")
    return place_like(graft, "fuse");
  for (const std::string& word : telling_words(name)) {
    if (word.size() < 4) continue;
    if (auto place = place_like(graft, word); !place.empty()) return place;
  }
  return {};
}

// An earth point of its own, or one of the same place that has room for another ring.
std::optional<std::string> earth_with_room(Draft& draft, const std::string& place) {
  constexpr std::size_t rings = 2;  // on one screw: common practice
  if (place.empty()) return std::nullopt;
  const auto wires = as_planned(draft.graft()).wires;
  for (const Device& device : draft.graft().devices) {
    if (device.kind != "earth" || device.place != place || device.recipe.empty()) continue;
    if (draft.forbidden.has_device(device.id)) continue;
    if (std::ranges::find(draft.result.devices, device.id) != draft.result.devices.end()) continue;
    const auto ends = std::ranges::count_if(
        wires, [&](const Wire& wire) { return wire.from.at == device.id || wire.to.at == device.id; });
    if (static_cast<std::size_t>(ends) < rings) return device.id;
  }
  return std::nullopt;
}

Device& device_of(Draft& draft, const RecipePart& part) {
  Graft& graft = draft.graft();
  const std::string key = part.kind + ":" + part.role;
  if (const auto known = draft.devices.find(key); known != draft.devices.end())
    return *find_by_id(graft.devices, known->second);
  if (part.kind == "battery" && part.role == "main") {
    const auto battery = std::ranges::find_if(graft.devices, [&](const Device& device) {
      return device.kind == "battery" && !draft.forbidden.has_device(device.id);
    });
    if (battery != graft.devices.end()) {
      draft.devices[key] = battery->id;
      return *battery;
    }
  }
  Device device;
  device.kind = part.kind;
  device.name = part_name(draft.recipe, part, draft.base);
  device.place = place_by_name(graft, part, device.name);
  if (part.kind == "earth") {
    if (const auto earth = earth_with_room(draft, device.place)) {
      draft.devices[key] = *earth;
      return *find_by_id(graft.devices, *earth);
    }
  }
  device.id = free_id(graft, id_like(device.name));
  device.recipe = draft.recipe.id;
  device.guessed = !draft.added;
  set_figures(draft, part, device);
  draft.devices[key] = device.id;
  draft.result.devices.push_back(device.id);
  graft.devices.push_back(std::move(device));
  return graft.devices.back();
}

WireEnd end_of(Draft& draft, const RecipePart& part, bool entry) {
  const Device& device = device_of(draft, part);
  const std::string& named = entry ? part.in : part.out;
  if (!named.empty()) return {device.id, named};
  const auto terminals = terminal_names(device);
  return {device.id, entry ? terminals.front() : terminals.size() > 1 ? terminals[1] : terminals.front()};
}

bool is_fed(const Graft& graft, const WireEnd& end) {
  return std::ranges::any_of(as_planned(graft).wires,
                             [&](const Wire& wire) { return wire.from == end || wire.to == end; });
}

// ---- the recipe
RecipePart replaced(Draft& draft, const RecipePart& part) {
  // A sensor return that the module lacks becomes an earth of its own.
  if (!part.is_pin() || draft.pins.contains(part.role)) return part;
  const auto partner = std::ranges::find(draft.recipe.partners, part.role, &RecipePartner::role);
  const bool is_return =
      partner != draft.recipe.partners.end() && partner->pin_class == PinClass::sensor_earth;
  return is_return ? RecipePart{"earth", part.role, "", ""} : part;
}

void join(Draft& draft, const RecipePart& left, const RecipePart& right) {
  if (left.is_pin() && right.is_pin()) return;
  if (left.is_feed()) {
    if (right.is_pin())
      return join_pin(draft, right.role, rail_or_usual(draft.graft(), left.role, draft.forbidden));
    const WireEnd end = end_of(draft, right, true);
    if (draft.existing.contains(end.at) && is_fed(draft.graft(), end)) return;
    const WireEnd feed = rail_or_usual(draft.graft(), left.role, draft.forbidden);
    return right.kind == "fuse" ? add_bar(draft, feed, end)
                                : add_wire(draft, draft.base + " feed", feed, end, "");
  }
  if (left.is_pin()) return join_pin(draft, left.role, end_of(draft, right, true));
  const WireEnd from = end_of(draft, left, false);
  if (right.is_pin()) return join_pin(draft, right.role, from);
  const WireEnd to = end_of(draft, right, true);
  const bool earth = right.kind == "earth" || left.kind == "earth";
  add_wire(draft, draft.base + (earth ? " earth" : ""), from, to, "");
}

void follow(Draft& draft) {
  for (const auto& branch : draft.recipe.branches) {
    for (std::size_t i = 0; i + 1 < branch.size(); ++i)
      join(draft, replaced(draft, branch[i]), replaced(draft, branch[i + 1]));
  }
}

// ---- refusals
Completion unchanged(const Graft& graft, ProblemCode code, std::string message, std::string remedy) {
  return {graft, {}, {}, {{Severity::error, code, {}, std::move(message), std::move(remedy)}}};
}

Completion forbidden_circuit(const Graft& graft) {
  return unchanged(graft, "forbidden", "This is a restraint or high-voltage circuit.",
                   "Leave it alone: it is for trained people with the maker's procedure.");
}

void report_missing(Draft& draft, const Partners& partners) {
  for (const std::string& role : partners.missing) {
    const auto partner = std::ranges::find(draft.recipe.partners, role, &RecipePartner::role);
    const bool earthed = partner->pin_class == PinClass::sensor_earth;
    draft.result.problems.push_back(
        {earthed ? Severity::note : Severity::warning,
         "partner-pin-missing",
         {},
         "No free pin of this module was found as \"" + role_text(role) + "\" for " + draft.base + ".",
         earthed ? "It was given an earth of its own; correct it if the sensor returns to the module."
                 : "Join that end by hand once you know where it goes."});
  }
}

}  // namespace

Completion complete_circuit(const Graft& graft, const CompleteRequest& request) {
  return complete_circuit(graft, request, forbidden_parts(graft));
}

Completion complete_circuit(const Graft& graft, const CompleteRequest& request,
                            const ForbiddenParts& forbidden) {
  const Recipe* recipe = find_recipe(request.recipe);
  if (!recipe)
    return unchanged(graft, "no-such-recipe", "There is no recipe \"" + request.recipe + "\".",
                     "Choose one of those that `loomgraft circuits --recipes` lists.");
  if (recipe->supply && *recipe->supply != graft.vehicle.supply)
    return unchanged(graft, "no-such-recipe", "This recipe is for vehicles of another supply voltage.",
                     "Choose another one, or correct the vehicle's supply.");
  Draft draft{{graft, {}, {}, {}}, *recipe, forbidden, 0, true, {}, {}, {}, {}, {}, 0};
  draft.system = static_cast<std::size_t>(system_of(graft.vehicle.supply));
  const std::vector<Wire> planned = as_planned(graft).wires;
  const auto open = open_wires(graft, planned, forbidden);
  const auto wire = std::ranges::find(open, request.wire, &OpenWire::id);
  if (!request.wire.empty() && wire == open.end())
    return unchanged(graft, "no-open-end",
                     "The loom has no wire \"" + request.wire + "\" with an open end at a pin.",
                     "Choose one of those that `loomgraft circuits` lists.");
  if (wire != open.end()) {
    if (wire->forbidden) return forbidden_circuit(graft);
    const Partners partners = partners_of(graft, planned, *recipe, wire->pin, forbidden);
    draft.added = wire->added;
    draft.base = base_name(wire->signal, wire->pin.cavity);
    draft.pins = partners.cavities;
    if (recipe->twisted) draft.twist = draft.base;
    report_missing(draft, partners);
  } else {
    draft.base = recipe->text;
  }
  for (const auto& [key, id] : request.use) {
    if (!find_by_id(graft.devices, id))
      return unchanged(graft, "no-such-id", "There is no device \"" + id + "\".",
                       "Choose one of the loom's devices.");
    if (forbidden.has_device(id)) return forbidden_circuit(graft);
    draft.devices[key] = id;
    draft.existing.insert(id);
  }
  follow(draft);
  suggest_places(draft.graft());
  suggest_insulation(draft.graft());
  return std::move(draft.result);
}

Completion complete_all(const Graft& graft) {
  Completion all{graft, {}, {}, {}};
  std::set<std::string> tried;
  // Circuits that are completed join nothing of it, so it stays as it is.
  const ForbiddenParts forbidden = forbidden_parts(graft);
  for (;;) {
    const auto open = open_wires(all.graft, as_planned(all.graft).wires, forbidden);
    const auto next = std::ranges::find_if(
        open, [&](const OpenWire& wire) { return !wire.forbidden && !tried.contains(wire.id); });
    if (next == open.end()) return all;
    tried.insert(next->id);
    const auto offers = offers_for(*next);
    if (offers.empty()) continue;
    Completion one = complete_circuit(all.graft, {next->id, offers.front().recipe->id, {}}, forbidden);
    all.graft = std::move(one.graft);
    all.devices.insert(all.devices.end(), one.devices.begin(), one.devices.end());
    all.wires.insert(all.wires.end(), one.wires.begin(), one.wires.end());
    all.problems.insert(all.problems.end(), one.problems.begin(), one.problems.end());
  }
}

}  // namespace loomgraft
