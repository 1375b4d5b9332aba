#include <algorithm>

#include "loom/end_id.h"
#include "prove/probe_minutes.h"
#include "prove/conditions_internal.h"
#include "standards/network_figures.h"

namespace loomgraft::prove {
namespace {

// One state for each switch, output or fuse; of more than these, a few states for all of them: each more
// costs a reading of everything.
constexpr std::size_t most_of_a_kind = 12;
constexpr std::size_t put_together = 3;

std::string names(const ProveScope& scope, const std::vector<std::string>& ids) {
  std::string text;
  for (std::size_t k = 0; k < ids.size(); ++k) {
    if (k > 0) text += k + 1 == ids.size() ? " and " : ", ";
    text += place_words(scope, {ids[k], ""});
  }
  return text;
}

std::vector<std::string> plugs(const ProveScope& scope) {
  return {scope.module_plugs.begin(), scope.module_plugs.end()};
}

std::string plug_names(const ProveScope& scope) {
  std::string text;
  const std::vector<std::string> ids = plugs(scope);
  for (std::size_t k = 0; k < ids.size(); ++k) {
    if (k > 0) text += k + 1 == ids.size() ? " and " : ", ";
    const Connector* connector = scope.connectors.at(ids[k]);
    text += connector->name.empty() ? connector->id : connector->name;
  }
  return text;
}

const char* const before_live =
    "Battery on only when every step before this one was in band: negative lead last.";
const char* const restraint = "Leave airbag, pretensioner and high-voltage circuits alone.";

PlannedState dead(const ProveScope& scope, StateUse use) {
  PlannedState made;
  made.use = use;
  ProveState& state = made.state;
  const bool bare = use == StateUse::bare;
  state.id = bare ? "dead-bare" : "dead-open";
  state.condition.name = state.id;
  state.condition.battery_off = true;
  state.condition.key = KeyPosition::off;
  state.condition.unplugged = plugs(scope);
  state.text = "Battery off, negative lead away from its post.";
  if (!scope.module_plugs.empty()) state.text += " Unplugged: " + plug_names(scope) + ".";
  // Back on again with it, and plugs in: nothing later pays for that. The bare state follows the open one.
  state.minutes = probe_minutes("key");
  if (!bare) state.minutes += probe_minutes("battery_off") + probe_minutes("battery_on");
  if (!bare && !scope.module_plugs.empty()) state.minutes += 2 * probe_minutes("unplug_module");
  if (bare) {
    state.condition.removed = scope.parts;
    state.text += " Out of their sockets or off their plugs: " + names(scope, scope.parts) + ".";
    state.minutes += probe_minutes("open_fuse_box") +
                     2 * probe_minutes("remove_device") * static_cast<double>(scope.parts.size());
  }
  state.cautions = {"Save trouble codes before the battery comes off.", restraint};
  return made;
}

PlannedState live(const ProveScope& scope, StateUse use, std::string id, const std::string& words,
                  bool open) {
  PlannedState made;
  made.use = use;
  ProveState& state = made.state;
  state.id = std::move(id);
  state.condition.name = state.id;
  state.live = true;
  state.minutes = probe_minutes("key");
  if (open) {
    state.condition.unplugged = plugs(scope);
    state.text = "Battery on. Unplugged: " + plug_names(scope) + ".";
  } else {
    state.text = "Battery on, everything plugged in.";
  }
  state.text += " " + words;
  state.cautions = {before_live, restraint};
  return made;
}

void add_fed(const ProveScope& scope, std::vector<PlannedState>& states) {
  if (scope.module_plugs.empty()) return;
  states.push_back(live(scope, StateUse::fed, "live-open-off", "Key off.", true));
  states.back().state.condition.key = KeyPosition::off;
  states.push_back(live(scope, StateUse::fed, "live-open-on", "Key on, engine not running.", true));
  const Condition open = states.back().state.condition;
  for (const ForcedLoad& load : forced_loads(scope, open)) {
    const WireEnd at{load.output.connector, load.output.cavity};
    std::string words = "Key on. Jumpers:";
    for (const Jumper& jumper : load.jumpers) words += " " + jumper.text + ";";
    words.back() = '.';
    PlannedState made = live(scope, StateUse::forced, "live-jumper-" + at.at + "." + at.cavity, words, true);
    made.focus = {end_id(at)};
    made.state.jumpers = load.jumpers;
    made.state.minutes += probe_minutes("jumper") * static_cast<double>(load.jumpers.size());
    made.state.cautions.push_back(
        "What this works may move: keep clear of it. Take a jumper off before the plug goes back.");
    made.state.cautions.push_back("No jumper ever from a positive feed to the body.");
    states.push_back(std::move(made));
  }
}

std::vector<std::vector<std::string>> in_groups(const std::vector<std::string>& items) {
  std::vector<std::vector<std::string>> groups(items.size() <= most_of_a_kind ? items.size() : put_together);
  for (std::size_t k = 0; k < items.size(); ++k) groups[k % groups.size()].push_back(items[k]);
  return groups;
}

std::string group_id(const std::string& prefix, const std::vector<std::string>& group) {
  std::string id = prefix + group.front();
  if (group.size() > 1) id += "+" + std::to_string(group.size() - 1);
  std::ranges::replace(id, ':', '.');
  return id;
}

std::vector<std::string> output_names(const ProveScope& scope) {
  std::vector<std::string> outputs;
  for (const CavityRef& at : scope.outputs) outputs.push_back(end_id(at));
  return outputs;
}

void drive(PlannedState& made, const std::vector<std::string>& outputs) {
  for (const std::string& output : outputs) {
    const WireEnd end = end_from(output);
    const CavityRef at{end.at, end.cavity};
    if (std::ranges::count(made.state.condition.driven, at) == 0) made.state.condition.driven.push_back(at);
  }
}

void add_worked(const ProveScope& scope, const std::vector<CavityRef>& holding,
                std::vector<PlannedState>& states) {
  for (const std::vector<std::string>& group : in_groups(scope.switches)) {
    PlannedState made = live(scope, StateUse::worked, group_id("live-work-", group),
                             "Key on. Worked and held: " + names(scope, group) + ".", false);
    made.focus = group;
    made.state.condition.worked = group;
    made.state.condition.driven = holding;
    made.state.minutes += probe_minutes("work_switch") * static_cast<double>(group.size());
    states.push_back(std::move(made));
  }
}

void add_driven(const ProveScope& scope, const std::vector<CavityRef>& holding,
                std::vector<PlannedState>& states) {
  const std::vector<std::string> outputs = output_names(scope);
  for (const std::vector<std::string>& group : in_groups(outputs)) {
    std::string words = "Key on. Put on by what works it or by a diagnostic tester:";
    for (const std::string& output : group) words += " " + place_words(scope, end_from(output)) + ",";
    words.back() = '.';
    PlannedState made = live(scope, StateUse::driven, group_id("live-drive-", group), words, false);
    made.focus = group;
    made.state.condition.driven = holding;
    drive(made, group);
    made.state.minutes += probe_minutes("drive_output") * static_cast<double>(group.size());
    made.state.cautions.push_back("What this works may move: keep clear of it.");
    states.push_back(std::move(made));
  }
  if (outputs.empty()) return;
  PlannedState made = live(scope, StateUse::low, "live-low",
                           "Key on, lamps and heater on until the battery has gone down. Put on: every "
                           "output of the added circuits.",
                           false);
  made.focus = outputs;
  made.state.condition.driven = holding;
  drive(made, outputs);
  const SystemVolts system = system_of(scope.graft->vehicle.supply);
  made.state.condition.supply = Volts{network_figure("resting_v", system).low()};
  made.state.minutes += probe_minutes("lower_battery") + probe_minutes("drive_output");
  states.push_back(std::move(made));
}

void add_plugged(const ProveScope& scope, std::vector<PlannedState>& states) {
  const std::vector<CavityRef> holding = holding_outputs(scope);
  PlannedState rest = live(scope, StateUse::plugged, "live-rest", "Key on, engine not running.", false);
  rest.state.condition.driven = holding;
  states.push_back(rest);
  add_worked(scope, holding, states);
  add_driven(scope, holding, states);
  for (const std::vector<std::string>& group : in_groups(scope.fuses)) {
    PlannedState made = live(scope, StateUse::fuse_out, group_id("live-without-", group),
                             "Key on. Out of its clips: " + names(scope, group) + ".", false);
    made.focus = group;
    made.state.condition.removed = group;
    made.state.condition.driven = holding;
    made.state.minutes +=
        probe_minutes("open_fuse_box") + probe_minutes("remove_device") * static_cast<double>(group.size());
    states.push_back(std::move(made));
  }
  PlannedState asleep =
      live(scope, StateUse::asleep, "asleep", "Key off, doors shut, everything gone to sleep.", false);
  asleep.state.condition.key = KeyPosition::off;
  asleep.state.minutes = probe_minutes("fall_asleep");
  asleep.state.cautions.push_back("Do not pull a fuse to measure: it wakes what sleeps.");
  states.push_back(std::move(asleep));
}

}  // namespace

std::vector<PlannedState> planned_states(const ProveScope& scope) {
  std::vector<PlannedState> states{dead(scope, StateUse::open), dead(scope, StateUse::bare)};
  if (!scope.battery.empty()) {
    add_fed(scope, states);
    add_plugged(scope, states);
  }
  for (PlannedState& planned : states) {
    std::vector<std::string> handled = planned.state.condition.removed;
    std::ranges::copy(planned.state.condition.worked, std::back_inserter(handled));
    planned.state.accesses = accesses_to(scope, handled);
  }
  return states;
}

}  // namespace loomgraft::prove
