#include "diagram/layout.h"

#include <algorithm>

#include "diagram/detours.h"
#include "network/cavity_pins.h"

namespace loomgraft::diagram {

Laid lay_out(const Graft& graft, const DiagramIndex& index, const Choice& choice, const PartsAndHops& found,
             const SheetStyle& style, const OrderOptions& effort) {
  Laid laid;
  DiagramSheet& sheet = laid.sheet;
  sheet.graft = &graft;
  sheet.index = &index;
  sheet.choice = &choice;
  sheet.found = &found;
  sheet.style = style;
  sheet.built = build_net(found, {style.joints_apart});
  measure_sheet(sheet);
  laid.order = order_net(sheet.built.net, effort);
  PlaceOptions places;
  places.pitch = style.pitch();
  places.gap = 0.8 * style.text;
  places.band_gap = 2.0 * style.text;
  sheet.places = place_net(sheet.built.net, places);
  if (effort.perturbations > 0)
    laid.order.crossings = shorten_detours(sheet.built.net, sheet.built.runs, places, sheet.places);
  finish_sheet(sheet);
  return laid;
}

std::optional<Graft> loom_to_draw(const Graft& graft, DiagramOptions& options) {
  if (options.show != DiagramShow::planned) return std::nullopt;
  const auto found = std::ranges::find(graft.modules, ModuleRole::found, &Module::role);
  const auto donor = std::ranges::find(graft.modules, ModuleRole::donor, &Module::role);
  if (found == graft.modules.end() || donor == graft.modules.end()) return std::nullopt;
  for (const std::string* name : {&donor->id, &donor->name, &found->name}) {
    if (!name->empty() && options.module == *name) options.module = found->id;
  }
  return with_donor_in_place(graft);
}

std::string title_of(const Graft& graft, const DiagramOptions& options) {
  for (const Device& d : graft.devices) {
    if (d.id == options.circuit && !d.name.empty()) return d.name;
  }
  if (!options.circuit.empty()) return options.circuit;
  if (!options.module.empty()) {
    for (const Module& m : graft.modules) {
      if (m.id == options.module && !m.name.empty()) return m.name;
    }
    return options.module;
  }
  return graft.title.empty() ? "Circuit diagram" : graft.title;
}

std::string state_text(DiagramShow show) {
  constexpr const char* states[] = {"Circuit diagram as found", "Circuit diagram as planned",
                                    "Circuit diagram: from as found to as planned"};
  return states[static_cast<int>(show)];
}

}  // namespace loomgraft::diagram
