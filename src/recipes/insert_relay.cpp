// A relay in a wire. A low-side output earths the coil, whose feed is switched by the key, and the contacts earth the load; a
// high-side output or a switched wire feeds the coil, and the contacts feed the load from the battery over a fuse.
#include "network/cavity_pins.h"
#include "recipes/part_names.h"
#include "recipes/parts_internal.h"
#include "recipes/places.h"
#include "recipes/rails.h"
#include "recipes/wire_edits.h"
#include "standards/relay_choice.h"

namespace loomgraft::recipes {
namespace {

// Where the pin is an input or a feed of the module, its wire carries nothing that a relay should carry instead.
bool can_work_a_relay(PinClass pin_class) {
  return pin_class == PinClass::unknown || pin_class == PinClass::low_side_driver ||
         pin_class == PinClass::high_side_driver;
}

struct RelayDraft {
  Completion& result;
  const Wire& planned;
  bool guessed;
  const ForbiddenParts& forbidden;  // none of it is joined to
  std::string base;
  std::string place;

  std::string add(const char* kind, const std::string& name) {
    Graft& graft = result.graft;
    Device device;
    device.kind = kind;
    device.name = name;
    device.id = free_id(graft, id_like(name));
    device.recipe = inserted;
    device.guessed = guessed;
    device.place = place;
    result.devices.push_back(device.id);
    graft.devices.push_back(std::move(device));
    return graft.devices.back().id;
  }

  // Sizes of what is new are chosen by design/; its colour is free.
  void join(const std::string& what, const WireEnd& from, const WireEnd& to) {
    Wire like;
    like.signal = base + what;
    like.insulation = planned.insulation;
    add_rest(result, like, from, to, guessed);
  }

  WireEnd earth() {
    const std::string id = add("earth", base + " relay earth");
    return {id, terminal_names(result.graft.devices.back()).front()};
  }

  WireEnd fused(std::string_view terminal, const std::string& name) {
    const WireEnd feed = rail_or_usual(result.graft, terminal, forbidden);
    const std::string id = add("fuse", name);
    join(" feed", feed, {id, "1"});
    return {id, "2"};
  }
};

std::string relay_model(const Graft& graft, const WireEnd& load) {
  const Device* device = find_by_id(graft.devices, load.at);
  const Amperes current = device && device->current ? *device->current : Amperes{0};
  return relay_for(graft.vehicle.supply, current);
}

}  // namespace

Completion insert_relay(const Graft& graft, const Wire& planned, bool guessed,
                        const ForbiddenParts& forbidden) {
  const Pin* pin = pin_at(graft, planned.from).pin;
  const PinClass pin_class = pin ? pin->pin_class : PinClass::unknown;
  const Device* load = find_by_id(graft.devices, planned.to.at);
  if (!can_work_a_relay(pin_class) || !load || build_of(*load) == DeviceBuild::earth)
    return refused(graft, "A relay goes between an output or a switch and what it works.",
                   "Choose the wire that leads from the output to the load.");
  Completion result{graft, {}, {}, {}};
  std::string base = planned.signal.empty() ? load->name : base_name(planned.signal, planned.from.cavity);
  RelayDraft draft{result, planned, guessed, forbidden, base, place_like(graft, "fuse")};
  const std::string relay = draft.add("relay", base + " relay");
  result.graft.devices.back().model = relay_model(graft, planned.to);
  const bool low_side = pin_class == PinClass::low_side_driver;
  lead_to(result.graft, planned, {relay, low_side ? "85" : "86"}, guessed);
  Wire rest = planned;
  rest.length.reset();
  rest.area.reset();
  add_rest(result, rest, {relay, "87"}, planned.to, guessed);
  if (low_side) {
    draft.join(" relay coil", draft.fused("15", base + " relay fuse"), {relay, "86"});
    draft.join(" relay earth", {relay, "30"}, draft.earth());
  } else {
    draft.join(" relay coil earth", {relay, "85"}, draft.earth());
    draft.join(" relay feed", draft.fused("30", base + " relay fuse"), {relay, "30"});
  }
  suggest_places(result.graft);
  return result;
}

}  // namespace loomgraft::recipes
