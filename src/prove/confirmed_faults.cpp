#include "prove/confirmed_faults.h"

namespace loomgraft {
namespace {

constexpr std::string_view confirmed_prefix = "fault:";

std::optional<FaultKind> fault_kind_named(std::string_view name) {
  for (std::size_t k = 0; k < fault_kinds; ++k) {
    if (name == name_of(static_cast<FaultKind>(k))) return static_cast<FaultKind>(k);
  }
  return std::nullopt;
}

}  // namespace

std::string tick_subject_of(const Fault& fault) {
  return std::string(confirmed_prefix) + name_of(fault.kind) + ":" + fault.id;
}

std::optional<ConfirmedFault> confirmed_fault_in(std::string_view tick_subject) {
  if (!tick_subject.starts_with(confirmed_prefix)) return std::nullopt;
  tick_subject.remove_prefix(confirmed_prefix.size());
  const std::size_t colon = tick_subject.find(':');
  if (colon == std::string_view::npos) return std::nullopt;
  const std::optional<FaultKind> kind = fault_kind_named(tick_subject.substr(0, colon));
  if (!kind) return std::nullopt;
  return ConfirmedFault{*kind, std::string(tick_subject.substr(colon + 1))};
}

}  // namespace loomgraft
