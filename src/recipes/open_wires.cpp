#include "recipes/open_wires.h"

#include <algorithm>

#include "network/cavity_pins.h"
#include "recipes/parts_internal.h"
#include "text/natural_order.h"

namespace loomgraft::recipes {
namespace {

int rank_of(PinClass pin_class) {
  switch (pin_class) {
    case PinClass::power_earth:
      return 0;
    case PinClass::supply_30:
      return 1;
    case PinClass::supply_15:
      return 2;
    case PinClass::supply_output:
    case PinClass::reference_5v:
      return 5;
    case PinClass::sensor_earth:
      return 6;
    case PinClass::shield:
      return 7;
    default:
      return 4;
  }
}

}  // namespace

std::vector<OpenWire> open_wires(const Graft& graft, const std::vector<Wire>& planned,
                                 const ForbiddenParts& forbidden) {
  std::vector<OpenWire> open;
  for (const Wire& wire : planned) {
    if (wire.from.at.empty() == wire.to.at.empty()) continue;
    OpenWire item;
    item.id = wire.id;
    item.pin = wire.from.at.empty() ? wire.to : wire.from;
    const PinAt at = pin_at(graft, item.pin);
    if (!at.module) continue;
    item.signal = wire.signal;
    item.forbidden = forbidden.wires.contains(wire.id) || forbidden.has(item.pin);
    if (at.pin) {
      item.pin_class = at.pin->pin_class;
      if (item.signal.empty()) item.signal = at.pin->signal;
    }
    item.added = !find_by_id(graft.wires, wire.id);
    open.push_back(std::move(item));
  }
  std::ranges::stable_sort(open, [](const OpenWire& a, const OpenWire& b) {
    const int left = rank_of(a.pin_class), right = rank_of(b.pin_class);
    if (left != right) return left < right;
    const int plug = natural_compare(a.pin.at, b.pin.at);
    return plug != 0 ? plug < 0 : natural_compare(a.pin.cavity, b.pin.cavity) < 0;
  });
  return open;
}

}  // namespace loomgraft::recipes
