// The names of enumeration values in the document, in the order of the values.
#pragma once

#include <array>
#include <string_view>

#include "loom/graft.h"

namespace loomgraft::loom {

inline constexpr std::array<std::string_view, 6> source_kinds{"unknown", "manual", "chart",
                                                              "photo",   "wire",   "measurement"};
inline constexpr std::array<std::string_view, 3> views{"unknown", "wire_entry", "mating"};
inline constexpr std::array<std::string_view, 5> sides{"unknown", "top", "bottom", "left", "right"};
inline constexpr std::array<std::string_view, 3> module_roles{"other", "found", "donor"};
inline constexpr std::array<std::string_view, 3> plan_actions{"move", "add", "retire"};
inline constexpr std::array<std::string_view, 3> key_positions{"on", "off", "crank"};

inline constexpr std::array<std::string_view, 5> safety_subjects{"pin", "device", "wire", "module",
                                                                 "connector"};

constexpr auto& names_of(SafetySubject) {
  return safety_subjects;
}
constexpr auto& names_of(SourceKind) {
  return source_kinds;
}
constexpr auto& names_of(View) {
  return views;
}
constexpr auto& names_of(Side) {
  return sides;
}
constexpr auto& names_of(ModuleRole) {
  return module_roles;
}
constexpr auto& names_of(PlanAction) {
  return plan_actions;
}
constexpr auto& names_of(KeyPosition) {
  return key_positions;
}
constexpr auto& names_of(PinClass) {
  return pin_class_names;
}

}  // namespace loomgraft::loom
