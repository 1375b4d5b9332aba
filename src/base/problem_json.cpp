#include "base/problem_json.h"

namespace loomgraft {

nlohmann::json problem_json(const Problem& problem) {
  nlohmann::json json{{"severity", name_of(problem.severity)},
                      {"code", std::string(problem.code.text())},
                      {"file", problem.location.file},
                      {"line", problem.location.line},
                      {"column", problem.location.column},
                      {"message", problem.message},
                      {"remedy", problem.remedy}};
  if (!problem.location.pointer.empty()) json["pointer"] = problem.location.pointer;
  if (!problem.location.place.empty()) json["place"] = problem.location.place;
  return json;
}

nlohmann::json problems_json(const Problems& problems) {
  nlohmann::json json = nlohmann::json::array();
  for (const Problem& problem : problems) json.push_back(problem_json(problem));
  return json;
}

}  // namespace loomgraft
