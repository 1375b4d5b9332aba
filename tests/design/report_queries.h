// Looks things up in a design report, for tests.
#pragma once

#include <string>

#include "design/design.h"

namespace loomgraft::samples {

inline const Check* check_of(const DesignReport& report, CheckKind kind, const std::string& subject) {
  for (const CircuitDesign& circuit : report.circuits) {
    for (const Check& check : circuit.checks) {
      if (check.kind == kind && id_of(check.subject) == subject) return &check;
    }
  }
  return nullptr;
}

inline const WireDesign* wire_of(const DesignReport& report, const std::string& id) {
  for (const CircuitDesign& circuit : report.circuits) {
    for (const WireDesign& item : circuit.wires) {
      if (item.wire == id) return &item;
    }
  }
  return nullptr;
}

}  // namespace loomgraft::samples
