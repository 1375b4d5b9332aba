// A small job for one recipe: a module with its feeds and earth, and the pins that the recipe needs in a plug of their own.
#pragma once

#include <string>

#include "loom/graft.h"
#include "recipes/complete.h"
#include "recipes/recipe.h"

namespace loomgraft::recipe_job {

inline Pin pin(const std::string& plug, int cavity, PinClass pin_class, const std::string& signal) {
  Pin made;
  made.at = {plug, std::to_string(cavity)};
  made.pin_class = pin_class;
  made.signal = signal;
  return made;
}

inline Connector plug(const std::string& id, int cavities) {
  Connector made;
  made.id = id;
  made.name = "C1";
  made.view = View::wire_entry;
  CavityRow row;
  for (int k = 1; k <= cavities; ++k) row.cavities.push_back(std::to_string(k));
  row.pitch = Metres{0.005};
  made.rows = {row};
  return made;
}

inline void add_new_wire(Graft& graft, int cavity, const std::string& signal) {
  PlanStep step;
  step.action = PlanAction::add;
  step.added.emplace();
  step.added->id = "new_" + std::to_string(cavity);
  step.added->signal = signal;
  step.added->from = {"found.C1", std::to_string(cavity)};
  step.added->length = Metres{2.0};
  graft.plan.push_back(step);
}

// The feeds of the module are wires as found with an open end; the recipe's own pins are added by the plan, "new_10" the
// pin in hand.
inline Graft job_for(const Recipe& recipe, Volts supply) {
  Graft graft;
  graft.title = recipe.id;
  graft.vehicle.supply = supply;
  Module found, donor;
  found.id = "found";
  found.role = ModuleRole::found;
  found.connectors = {"found.C1"};
  donor.id = "donor";
  donor.role = ModuleRole::donor;
  donor.connectors = {"donor.C1"};
  const std::pair<PinClass, const char*> feeds[] = {{PinClass::power_earth, "module earth"},
                                                    {PinClass::supply_30, "module battery"},
                                                    {PinClass::supply_15, "module ignition"},
                                                    {PinClass::reference_5v, "reference"},
                                                    {PinClass::sensor_earth, "return"}};
  int cavity = 0;
  for (const auto& [pin_class, signal] : feeds) {
    ++cavity;
    found.pins.push_back(pin("found.C1", cavity, pin_class, signal));
    donor.pins.push_back(pin("donor.C1", cavity, pin_class, signal));
    Wire wire;
    wire.id = "w_" + std::to_string(cavity);
    wire.signal = signal;
    wire.from = {"found.C1", std::to_string(cavity)};
    wire.length = Metres{1.0};
    graft.wires.push_back(wire);
  }
  cavity = 10;
  if (recipe.pin_class != PinClass::unknown) {
    donor.pins.push_back(pin("donor.C1", cavity, recipe.pin_class, "gadget"));
    add_new_wire(graft, cavity, "gadget");
  }
  for (const RecipePartner& partner : recipe.partners)
    donor.pins.push_back(pin("donor.C1", ++cavity, partner.pin_class, "gadget " + partner.role));
  graft.connectors = {plug("found.C1", 20), plug("donor.C1", 20)};
  graft.modules = {found, donor};
  for (int k = 1; k <= 3; ++k) {
    const char* of[] = {"power_earth", "supply_30", "supply_15"};
    graft = complete_circuit(graft, {"w_" + std::to_string(k), of[k - 1], {}}).graft;
  }
  return graft;
}

}  // namespace loomgraft::recipe_job
