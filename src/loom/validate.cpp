#include "loom/validate.h"

#include <map>
#include <set>

#include "loom/circuit_answers.h"
#include "loom/document_values.h"
#include "loom/forbidden.h"
#include "loom/plan.h"

namespace loomgraft {
namespace {

struct Check {
  const Graft& graft;
  Problems problems;
  std::map<std::string, const Connector*> connectors;
  std::set<std::string> sources, devices, places, paths, wires;

  void report(Severity severity, ProblemCode code, std::string pointer, std::string message,
              std::string remedy) {
    problems.push_back(
        {severity, code, {"", 0, 0, std::move(pointer)}, std::move(message), std::move(remedy)});
  }
  void error(ProblemCode code, std::string pointer, std::string message, std::string remedy) {
    report(Severity::error, code, std::move(pointer), std::move(message), std::move(remedy));
  }
};

std::string item(const char* list, std::size_t index) {
  return "/" + std::string(list) + "/" + std::to_string(index);
}

template <class List>
std::set<std::string> collect_ids(Check& check, const char* name, const List& list) {
  std::set<std::string> ids;
  for (std::size_t i = 0; i < list.size(); ++i) {
    if (list[i].id.empty()) {
      check.error("no-id", item(name, i), "This entry has no id, so nothing can refer to it.",
                  "Give it an id.");
    } else if (!ids.insert(list[i].id).second) {
      check.error("id-twice", item(name, i) + "/id",
                  "The id \"" + list[i].id + "\" appears twice in this list.",
                  "Give each entry an id of its own.");
    }
  }
  return ids;
}

void check_reference(Check& check, const std::set<std::string>& ids, const std::string& id,
                     std::string pointer, const char* what) {
  if (id.empty() || ids.contains(id)) return;
  check.error("no-such-id", std::move(pointer), "There is no " + std::string(what) + " \"" + id + "\".",
              "Correct the id, or add that " + std::string(what) + ".");
}

void check_connector(Check& check, std::size_t index) {
  const Connector& connector = check.graft.connectors[index];
  const std::string pointer = item("connectors", index);
  check_reference(check, check.places, connector.place, pointer + "/place", "place");
  if (!connector.rows.empty() && connector.view == View::unknown) {
    check.report(
        Severity::warning, "no-view", pointer + "/view",
        "It is not stated from which side the rows of connector \"" + connector.name + "\" are drawn.",
        "Look at the plug and state the view: \"wire_entry\" or \"mating\". In a mirrored row every wire "
        "is in the wrong cavity.");
  }
  if (!connector.mates.empty() && !check.connectors.contains(connector.mates)) {
    check.error("no-such-id", pointer + "/mates", "There is no connector \"" + connector.mates + "\".",
                "Correct the id, or add the other half.");
  }
  std::set<std::string> names;
  for (std::size_t r = 0; r < connector.rows.size(); ++r) {
    const CavityRow& row = connector.rows[r];
    const std::string row_pointer = pointer + "/rows/" + std::to_string(r);
    if (!(row.pitch.si > 0) && row.cavities.size() > 1) {
      check.error("bad-size", row_pointer + "/pitch_mm", "The pitch of this row is not above zero.",
                  "Measure from the centre of one cavity to the next, in mm.");
    }
    for (std::size_t c = 0; c < row.cavities.size(); ++c) {
      if (row.cavities[c].empty() || names.insert(row.cavities[c]).second) continue;
      check.error("cavity-twice", row_pointer + "/cavities/" + std::to_string(c),
                  "Cavity \"" + row.cavities[c] + "\" appears twice in connector \"" + connector.name + "\".",
                  "Each cavity has one place on the face.");
    }
  }
}

bool has_cavity(const Connector& connector, const std::string& cavity) {
  for (const CavityRow& row : connector.rows) {
    for (const std::string& name : row.cavities) {
      if (name == cavity) return true;
    }
  }
  return connector.rows.empty();
}

void check_cavity(Check& check, const CavityRef& at, const std::string& pointer) {
  const auto connector = check.connectors.find(at.connector);
  if (connector == check.connectors.end() || at.cavity.empty() || has_cavity(*connector->second, at.cavity))
    return;
  check.error("no-such-cavity", pointer + "/cavity",
              "Connector \"" + connector->second->name + "\" has no cavity \"" + at.cavity + "\".",
              "Correct the cavity, or add it to the connector's rows.");
}

void check_pin(Check& check, const Pin& pin, const std::string& pointer) {
  if (pin.at.connector.empty() || pin.at.cavity.empty()) {
    check.error("no-place", pointer, "This pin does not say in which cavity of which connector it is.",
                "Give \"connector\" and \"cavity\".");
  } else if (!check.connectors.contains(pin.at.connector)) {
    check.error("no-such-id", pointer + "/connector", "There is no connector \"" + pin.at.connector + "\".",
                "Correct the id, or add that connector.");
  }
  check_cavity(check, pin.at, pointer);
  for (std::size_t i = 0; i < pin.claims.size(); ++i) {
    check_reference(check, check.sources, pin.claims[i].source,
                    pointer + "/claims/" + std::to_string(i) + "/source", "source");
  }
}

void check_module(Check& check, std::size_t index) {
  const Module& module = check.graft.modules[index];
  const std::string pointer = item("modules", index);
  std::set<std::string> ids;
  for (const auto& [id, connector] : check.connectors) ids.insert(id);
  for (std::size_t i = 0; i < module.connectors.size(); ++i) {
    check_reference(check, ids, module.connectors[i], pointer + "/connectors/" + std::to_string(i),
                    "connector");
  }
  std::map<CavityRef, std::size_t> taken;
  for (std::size_t i = 0; i < module.pins.size(); ++i) {
    const std::string pin_pointer = pointer + "/pins/" + std::to_string(i);
    check_pin(check, module.pins[i], pin_pointer);
    const auto [first, is_new] = taken.emplace(module.pins[i].at, i);
    if (is_new) continue;
    check.report(
        Severity::warning, "cavity-claimed-twice", pin_pointer,
        "Cavity " + module.pins[i].at.cavity + " is described by pin " + std::to_string(first->second) +
            " too.",
        "Keep the one that is true for this vehicle; a second function of one cavity belongs in its note.");
  }
}

void check_wire(Check& check, std::size_t index, std::map<CavityRef, std::string>& taken) {
  const Wire& wire = check.graft.wires[index];
  const std::string pointer = item("wires", index);
  for (const auto& [end, name] : {std::pair{wire.from, "/from"}, std::pair{wire.to, "/to"}}) {
    if (end.at.empty() || check.devices.contains(end.at)) continue;
    if (!check.connectors.contains(end.at)) {
      check.error("no-such-id", pointer + name + "/at", "There is no connector or device \"" + end.at + "\".",
                  "Correct the id, or add the connector or device.");
      continue;
    }
    const CavityRef at{end.at, end.cavity};
    check_cavity(check, at, pointer + name);
    const auto [other, is_new] = taken.emplace(at, wire.id);
    if (is_new) continue;
    check.error("two-terminals", pointer + name,
                "Cavity " + end.cavity + " of " + end.at + " holds wire \"" + other->second + "\" already.",
                "A cavity holds one terminal: join the wires at a splice, or correct one of them.");
  }
  for (std::size_t i = 0; i < wire.along.size(); ++i) {
    check_reference(check, check.paths, wire.along[i], pointer + "/along/" + std::to_string(i), "path");
  }
}

void check_device(Check& check, std::size_t index) {
  const Device& device = check.graft.devices[index];
  const std::string pointer = item("devices", index);
  check_reference(check, check.places, device.place, pointer + "/place", "place");
  if (device.pull_in && device.release && *device.release > *device.pull_in) {
    check.error("bad-size", pointer + "/release_v", "The release voltage is above the pull-in voltage.",
                "Correct one of the two.");
  }
}

void check_condition(Check& check, std::size_t index) {
  const Condition& condition = check.graft.conditions[index];
  const std::string pointer = item("conditions", index);
  std::set<std::string> connectors;
  for (const auto& [id, connector] : check.connectors) connectors.insert(id);
  const auto check_list = [&](const auto& ids, const std::vector<std::string>& list, const char* name,
                              const char* what) {
    for (std::size_t i = 0; i < list.size(); ++i) {
      check_reference(check, ids, list[i], pointer + "/" + name + "/" + std::to_string(i), what);
    }
  };
  check_list(check.devices, condition.worked, "worked", "device");
  check_list(check.devices, condition.removed, "removed", "device");
  check_list(connectors, condition.unplugged, "unplugged", "connector");
  for (std::size_t i = 0; i < condition.driven.size(); ++i) {
    const std::string at = pointer + "/driven/" + std::to_string(i);
    check_reference(check, connectors, condition.driven[i].connector, at + "/connector", "connector");
    check_cavity(check, condition.driven[i], at);
  }
}

void check_surroundings(Check& check) {
  const Graft& graft = check.graft;
  for (std::size_t i = 0; i < graft.paths.size(); ++i) {
    check_reference(check, check.places, graft.paths[i].from, item("paths", i) + "/from", "place");
    check_reference(check, check.places, graft.paths[i].to, item("paths", i) + "/to", "place");
  }
  for (std::size_t i = 0; i < graft.devices.size(); ++i) check_device(check, i);
  for (std::size_t i = 0; i < graft.conditions.size(); ++i) check_condition(check, i);
  for (std::size_t i = 0; i < graft.sources.size(); ++i) {
    if (graft.sources[i].weight > 0) continue;
    check.error("bad-weight", item("sources", i) + "/weight", "The weight of a source is above zero.",
                "Leave it out for 1, or give a smaller figure to a source you trust less.");
  }
  const double supply = graft.vehicle.supply.si;
  if (supply < 5 || supply > 60) {
    check.error("bad-supply", "/vehicle/supply_v", "This tool is for vehicles of 12 V and 24 V.",
                "Give the nominal supply. Above 60 V d.c. the work is for trained people with the maker's "
                "procedure.");
  }
}

}  // namespace

Problems validate(const Graft& graft) {
  return validate(graft, forbidden_parts(graft));
}

Problems validate(const Graft& graft, const ForbiddenParts& forbidden) {
  Check check{graft, impossible_values(graft), {}, {}, {}, {}, {}, {}};
  check.sources = collect_ids(check, "sources", graft.sources);
  collect_ids(check, "connectors", graft.connectors);
  collect_ids(check, "modules", graft.modules);
  check.devices = collect_ids(check, "devices", graft.devices);
  check.places = collect_ids(check, "places", graft.places);
  check.paths = collect_ids(check, "paths", graft.paths);
  check.wires = collect_ids(check, "wires", graft.wires);
  for (const Connector& connector : graft.connectors) check.connectors.emplace(connector.id, &connector);
  for (std::size_t i = 0; i < graft.connectors.size(); ++i) check_connector(check, i);
  for (std::size_t i = 0; i < graft.modules.size(); ++i) check_module(check, i);
  std::map<CavityRef, std::string> taken;
  for (std::size_t i = 0; i < graft.wires.size(); ++i) check_wire(check, i, taken);
  check_surroundings(check);
  collect_ids(check, "circuit_answers", graft.circuit_answers);
  for (Problem& problem : check_circuit_answers(graft)) check.problems.push_back(std::move(problem));
  collect_ids(check, "safety_answers", graft.safety_answers);
  for (Problem& problem : check_safety(graft, forbidden)) check.problems.push_back(std::move(problem));
  for (Problem& problem : as_planned(graft).problems) check.problems.push_back(std::move(problem));
  return std::move(check.problems);
}

}  // namespace loomgraft
