#include <algorithm>

#include "loom/end_id.h"
#include "prove/conditions_internal.h"
#include "prove/figures.h"
#include "prove/test_plug_internal.h"
#include "standards/network_figures.h"

namespace loomgraft::prove {
namespace {

std::string names(const ProveScope& scope, const std::vector<std::string>& ids) {
  std::string text;
  for (std::size_t k = 0; k < ids.size(); ++k) {
    if (k > 0) text += k + 1 == ids.size() ? " and " : ", ";
    text += end_text(scope, {ids[k], ""});
  }
  return text;
}

std::vector<std::string> plugs(const ProveScope& scope) {
  return {scope.module_plugs.begin(), scope.module_plugs.end()};
}

std::string plug_name(const ProveScope& scope, const std::string& id) {
  const Connector* connector = scope.frame->connectors.at(id);
  return connector->name.empty() ? connector->id : connector->name;
}

std::string plug_names(const ProveScope& scope) {
  std::string text;
  const std::vector<std::string> ids = plugs(scope);
  for (std::size_t k = 0; k < ids.size(); ++k) {
    if (k > 0) text += k + 1 == ids.size() ? " and " : ", ";
    text += plug_name(scope, ids[k]);
  }
  return text;
}

const char* const before_live =
    "Battery on only if every step before this one was in band: negative lead last.";
const char* const restraint = "Leave airbag, pretensioner and high-voltage circuits alone.";

PlannedCondition dead(const ProveScope& scope, ConditionUse use) {
  PlannedCondition made;
  made.use = use;
  ProveCondition& condition = made.condition;
  const bool bare = use == ConditionUse::bare;
  condition.id = bare ? "dead-bare" : "dead-open";
  condition.setup.name = condition.id;
  condition.setup.battery_off = true;
  condition.setup.key = KeyPosition::off;
  condition.setup.unplugged = plugs(scope);
  condition.text = "Battery off, negative lead away from its post.";
  if (!scope.module_plugs.empty()) condition.text += " Unplugged: " + plug_names(scope) + ".";
  // Includes battery on and plugs in again: no later condition counts them. The bare condition follows the open one.
  condition.minutes = probe_minutes("key");
  if (!bare) condition.minutes += probe_minutes("battery_off") + probe_minutes("battery_on");
  if (!bare && !scope.module_plugs.empty()) condition.minutes += 2 * probe_minutes("unplug_module");
  if (bare) {
    condition.setup.removed = scope.parts;
    condition.text += " Unplugged or out of their sockets: " + names(scope, scope.parts) + ".";
    condition.minutes += probe_minutes("open_fuse_box") +
                         2 * probe_minutes("remove_device") * static_cast<double>(scope.parts.size());
  }
  condition.cautions = {"Save trouble codes before the battery comes off.", restraint};
  return made;
}

PlannedCondition live(const ProveScope& scope, ConditionUse use, std::string id, const std::string& text,
                      bool open) {
  PlannedCondition made;
  made.use = use;
  ProveCondition& condition = made.condition;
  condition.id = std::move(id);
  condition.setup.name = condition.id;
  condition.live = true;
  condition.minutes = probe_minutes("key");
  if (open) {
    condition.setup.unplugged = plugs(scope);
    condition.text = "Battery on. Unplugged: " + plug_names(scope) + ".";
  } else {
    condition.text = "Battery on, everything plugged in.";
  }
  condition.text += " " + text;
  condition.cautions = {before_live, restraint};
  return made;
}

void add_lamps(const ProveScope& scope, const Condition& open, std::vector<PlannedCondition>& conditions) {
  for (const ForcedLoad& load : lamp_loads(scope, open)) {
    const WireEnd at{load.output.connector, load.output.cavity};
    PlannedCondition made = live(scope, ConditionUse::lamp, "live-lamp-" + at.at + "." + at.cavity,
                                 "Key on. As a load: " + load.jumpers.front().text + ".", true);
    made.focus = {at};
    made.condition.jumpers = load.jumpers;
    made.condition.minutes += probe_minutes("lamp");
    made.condition.cautions.push_back("The lamp gets hot: hold it clear of trim and carpet.");
    conditions.push_back(std::move(made));
  }
}

void add_fed(const ProveScope& scope, std::vector<PlannedCondition>& conditions) {
  if (scope.module_plugs.empty()) return;
  conditions.push_back(live(scope, ConditionUse::fed, "live-open-off", "Key off.", true));
  conditions.back().condition.setup.key = KeyPosition::off;
  conditions.push_back(live(scope, ConditionUse::fed, "live-open-on", "Key on, engine not running.", true));
  const Condition open = conditions.back().condition.setup;
  for (const ForcedLoad& load : forced_loads(scope, open)) {
    const WireEnd at{load.output.connector, load.output.cavity};
    std::string text = "Key on. Jumpers:";
    for (const Jumper& jumper : load.jumpers) text += " " + jumper.text + ";";
    text.back() = '.';
    PlannedCondition made =
        live(scope, ConditionUse::forced, "live-jumper-" + at.at + "." + at.cavity, text, true);
    made.focus = {at};
    made.condition.jumpers = load.jumpers;
    made.condition.minutes += probe_minutes("jumper") * static_cast<double>(load.jumpers.size());
    made.condition.cautions.push_back(
        "What this operates may move: keep clear of it. Take the jumper off before the plug goes back.");
    made.condition.cautions.push_back("Never connect a jumper from a positive feed to the body.");
    conditions.push_back(std::move(made));
  }
  add_lamps(scope, open, conditions);
}

// A condition for each switch, output or fuse; if there are too many, a few conditions for all of them.
template <class Item>
std::vector<std::vector<Item>> in_groups(const std::vector<Item>& items) {
  const bool each = static_cast<double>(items.size()) <= prove_figure("conditions_of_a_kind");
  std::vector<std::vector<Item>> groups(each ? items.size()
                                             : static_cast<std::size_t>(prove_figure("grouped_conditions")));
  for (std::size_t k = 0; k < items.size(); ++k) groups[k % groups.size()].push_back(items[k]);
  return groups;
}

std::string group_id(const std::string& prefix, const std::string& first, std::size_t count) {
  std::string id = prefix + first;
  if (count > 1) id += "+" + std::to_string(count - 1);
  std::ranges::replace(id, ':', '.');
  return id;
}

std::vector<WireEnd> ends_of(const std::vector<std::string>& devices) {
  std::vector<WireEnd> ends;
  ends.reserve(devices.size());
  for (const std::string& device : devices) ends.push_back({device, ""});
  return ends;
}

std::vector<WireEnd> ends_of(const std::vector<CavityRef>& cavities) {
  std::vector<WireEnd> ends;
  ends.reserve(cavities.size());
  for (const CavityRef& at : cavities) ends.push_back({at.connector, at.cavity});
  return ends;
}

void drive(PlannedCondition& made, const std::vector<CavityRef>& outputs) {
  for (const CavityRef& at : outputs) {
    if (std::ranges::count(made.condition.setup.driven, at) == 0) made.condition.setup.driven.push_back(at);
  }
}

void add_worked(const ProveScope& scope, const std::vector<CavityRef>& holding,
                std::vector<PlannedCondition>& conditions) {
  for (const std::vector<std::string>& group : in_groups(scope.switches)) {
    PlannedCondition made =
        live(scope, ConditionUse::worked, group_id("live-work-", group.front(), group.size()),
             "Key on. Operated and held: " + names(scope, group) + ".", false);
    made.focus = ends_of(group);
    made.condition.setup.worked = group;
    made.condition.setup.driven = holding;
    made.condition.minutes += probe_minutes("work_switch") * static_cast<double>(group.size());
    conditions.push_back(std::move(made));
  }
}

void add_driven(const ProveScope& scope, const std::vector<CavityRef>& holding,
                std::vector<PlannedCondition>& conditions) {
  for (const std::vector<CavityRef>& group : in_groups(scope.outputs)) {
    std::string text = "Key on. Switched on, by operating the vehicle or with a diagnostic tester:";
    for (const WireEnd& output : ends_of(group)) text += " " + end_text(scope, output) + ",";
    text.back() = '.';
    PlannedCondition made = live(scope, ConditionUse::driven,
                                 group_id("live-drive-", end_id(group.front()), group.size()), text, false);
    made.focus = ends_of(group);
    made.condition.setup.driven = holding;
    drive(made, group);
    made.condition.minutes += probe_minutes("drive_output") * static_cast<double>(group.size());
    made.condition.cautions.push_back("What this operates may move: keep clear of it.");
    conditions.push_back(std::move(made));
  }
  if (scope.outputs.empty()) return;
  PlannedCondition made = live(scope, ConditionUse::low, "live-low",
                               "Key on, lamps and heater on until the battery is low. Switched on: every "
                               "output of the added circuits.",
                               false);
  made.focus = ends_of(scope.outputs);
  made.condition.setup.driven = holding;
  drive(made, scope.outputs);
  const SystemVolts system = system_of(scope.graft->vehicle.supply);
  made.condition.setup.supply = Volts{network_figure("resting_v", system).low()};
  made.condition.minutes += probe_minutes("lower_battery") + probe_minutes("drive_output");
  conditions.push_back(std::move(made));
}

void add_plugged(const ProveScope& scope, std::vector<PlannedCondition>& conditions) {
  const std::vector<CavityRef> holding = holding_outputs(scope);
  PlannedCondition rest =
      live(scope, ConditionUse::plugged, "live-rest", "Key on, engine not running.", false);
  rest.condition.setup.driven = holding;
  conditions.push_back(rest);
  add_worked(scope, holding, conditions);
  add_driven(scope, holding, conditions);
  for (const std::vector<std::string>& group : in_groups(scope.fuses)) {
    PlannedCondition made =
        live(scope, ConditionUse::fuse_out, group_id("live-without-", group.front(), group.size()),
             "Key on. Out of its holder: " + names(scope, group) + ".", false);
    made.focus = ends_of(group);
    made.condition.setup.removed = group;
    made.condition.setup.driven = holding;
    made.condition.minutes +=
        probe_minutes("open_fuse_box") + probe_minutes("remove_device") * static_cast<double>(group.size());
    conditions.push_back(std::move(made));
  }
  PlannedCondition asleep =
      live(scope, ConditionUse::asleep, "asleep", "Key off, doors shut, every module asleep.", false);
  asleep.condition.setup.key = KeyPosition::off;
  asleep.condition.minutes = probe_minutes("fall_asleep");
  asleep.condition.cautions.push_back("Do not pull a fuse to measure: it wakes modules up.");
  conditions.push_back(std::move(asleep));
}

// Unplugging a plug breaks every circuit in it, those too that nobody may touch.
void warn_of_forbidden_plugs(const ProveScope& scope, ProveCondition& condition) {
  for (const std::string& id : condition.setup.unplugged) {
    std::string cavities;
    for (const WireEnd& end : scope.frame->forbidden.ends) {
      if (end.at == id && !end.cavity.empty()) cavities += (cavities.empty() ? "" : ", ") + end.cavity;
    }
    if (cavities.empty() && !scope.frame->forbidden.has(WireEnd{id, ""})) continue;
    condition.cautions.push_back(
        plug_name(scope, id) +
        " also carries what may be a restraint or high-voltage "
        "circuit" +
        (cavities.empty() ? "" : " (cavity " + cavities + ")") +
        ". Do not unplug it unless a trained person has made that system safe by the maker's procedure.");
  }
}

}  // namespace

std::vector<PlannedCondition> planned_conditions(const ProveScope& scope) {
  std::vector<PlannedCondition> conditions{dead(scope, ConditionUse::open), dead(scope, ConditionUse::bare)};
  if (!scope.battery.empty()) {
    add_fed(scope, conditions);
    add_plugged(scope, conditions);
  }
  add_test_plugs(scope, conditions);
  for (PlannedCondition& planned : conditions) {
    std::vector<std::string> handled = planned.condition.setup.removed;
    std::ranges::copy(planned.condition.setup.worked, std::back_inserter(handled));
    planned.condition.accesses = accesses_to(scope, handled);
    warn_of_forbidden_plugs(scope, planned.condition);
  }
  return conditions;
}

}  // namespace loomgraft::prove
