#include "plug/json.h"

#include <nlohmann/json.hpp>

#include "base/problem_json.h"

namespace loomgraft {
namespace {

std::string name_in(const Graft& graft, const std::string& id) {
  if (id.empty()) return "none of these";
  const Connector* connector = find_connector(graft, id);
  return connector && !connector->name.empty() ? connector->name : "the plug";
}

}  // namespace

std::vector<PlugCandidate> plug_candidates(const Graft& graft, const Module& module) {
  std::vector<PlugCandidate> list;
  for (const std::string& id : module.connectors) {
    PlugCandidate candidate;
    candidate.connector = find_connector(graft, id);
    if (!candidate.connector) continue;
    for (const Pin& pin : module.pins) {
      if (pin.at.connector == id) candidate.pins.push_back(pin);
    }
    list.push_back(std::move(candidate));
  }
  return list;
}

nlohmann::ordered_json to_json(const Graft& graft, const PlugReport& report, const Problems& problems) {
  nlohmann::ordered_json hypotheses = nlohmann::ordered_json::array();
  for (const PlugHypothesis& h : report.hypotheses) {
    const char* view = h.view == View::wire_entry ? "wire_entry"
                       : h.view == View::mating   ? "mating"
                                                  : "unknown";
    hypotheses.push_back({{"connector", h.connector.empty() ? "" : name_in(graft, h.connector)},
                          {"id", h.connector},
                          {"view", view},
                          {"turned", h.turned},
                          {"probability", h.probability}});
  }
  nlohmann::ordered_json next = nlohmann::ordered_json::array();
  for (const NextCavity& cavity : report.next) {
    next.push_back(
        {{"row", cavity.row}, {"column", cavity.column}, {"information_bits", cavity.information_bits}});
  }
  nlohmann::ordered_json positions = nlohmann::ordered_json::array();
  for (const CavityPosition& position : report.positions) {
    positions.push_back({{"row", position.row}, {"column", position.column}, {"cavity", position.cavity}});
  }
  return {{"hypotheses", hypotheses},
          {"certain", report.certain},
          {"next", next},
          {"cavity_one", report.cavity_one_text},
          {"places", positions},
          {"problems", problems_json(problems)}};
}

}  // namespace loomgraft
