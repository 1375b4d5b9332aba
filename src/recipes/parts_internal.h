// Small things that the files of recipes/ share.
#pragma once

#include <algorithm>
#include <string>
#include <vector>

#include "base/ascii.h"
#include "loom/graft.h"
#include "standards/device_kinds.h"

namespace loomgraft::recipes {

inline constexpr std::string_view light_switch = "light_switch";
// Values of Device::recipe that no row of data/recipes.csv has.
inline constexpr std::string_view vehicle_supply = "vehicle_supply";
inline constexpr std::string_view inserted = "insert";

template <class T>
const T* find_by_id(const std::vector<T>& list, std::string_view id) {
  const auto found = std::find_if(list.begin(), list.end(), [&](const T& item) { return item.id == id; });
  return found == list.end() ? nullptr : &*found;
}
template <class T>
T* find_by_id(std::vector<T>& list, std::string_view id) {
  const auto found = std::find_if(list.begin(), list.end(), [&](const T& item) { return item.id == id; });
  return found == list.end() ? nullptr : &*found;
}

inline DeviceBuild build_of(const Device& device) {
  const DeviceKind* kind = device_kind(device.kind);
  return kind ? kind->build : DeviceBuild::unknown;
}

// The first place whose name has the word, in lower case.
inline std::string place_like(const Graft& graft, std::string_view word) {
  for (const LoomPlace& place : graft.places) {
    if (lower(place.name).find(word) != std::string::npos || lower(place.id).find(word) != std::string::npos)
      return place.id;
  }
  return {};
}

inline bool is_taken(const Graft& graft, const std::string& id) {
  const auto added = [&](const PlanStep& step) { return step.added && step.added->id == id; };
  return find_by_id(graft.devices, id) || find_by_id(graft.wires, id) || find_by_id(graft.connectors, id) ||
         std::any_of(graft.plan.begin(), graft.plan.end(), added);
}

// An id that nothing in the graft has.
inline std::string free_id(const Graft& graft, const std::string& wanted) {
  std::string id = wanted;
  for (int count = 2; is_taken(graft, id); ++count) id = wanted + "_" + std::to_string(count);
  return id;
}

}  // namespace loomgraft::recipes
