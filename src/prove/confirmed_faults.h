// Confirmed faults as the ticks of a graft file keep them: a tick that is done, with the subject "fault:KIND:ID".
//
// Gives   the two ways round: confirmed_fault_in(tick_subject_of(fault)) has the fault's kind and id. This is
//         the only place that reads or writes such subjects.
// Fails   nothing for any other subject, or for a kind that this program does not know
#pragma once

#include <optional>
#include <string>
#include <string_view>

#include "network/faults.h"

namespace loomgraft {

struct ConfirmedFault {
  FaultKind kind = FaultKind::wire_open;
  std::string id;
  auto operator<=>(const ConfirmedFault&) const = default;
};

std::string tick_subject_of(const Fault& fault);
std::optional<ConfirmedFault> confirmed_fault_in(std::string_view tick_subject);

}  // namespace loomgraft
