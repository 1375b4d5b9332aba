// A search report, and what a planted fault shows, as JSON: docs/api.md.
#pragma once

#include <nlohmann/json_fwd.hpp>
#include <string>
#include <vector>

#include "find/find.h"
#include "find/symptoms.h"

namespace loomgraft {

nlohmann::ordered_json to_json(const FindReport& report, const Proof& proof);

// {"fault", "readings": [{"test", "value", "unit"}]}
nlohmann::ordered_json practice_json(const std::string& fault, const std::vector<Reading>& readings);

// {"symptoms": [{"id", "kind", "subject", "text", "faults"}]}
nlohmann::ordered_json symptoms_json(const std::vector<Symptom>& symptoms, const Proof& proof);

}  // namespace loomgraft
