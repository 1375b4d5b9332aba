#include "donor/json.h"

#include <nlohmann/json.hpp>

#include "base/problem_json.h"
#include "compare/summary_json.h"
#include "compare/tags_json.h"

namespace loomgraft {
namespace {

using Json = nlohmann::ordered_json;

Json donor_json(const RankedDonor& donor) {
  Json tags = Json::array();
  for (const TagFinding& finding : donor.tags) tags.push_back(to_json(finding));
  return {{"id", donor.id},
          {"name", donor.name},
          {"points", donor.cost},
          {"tag_points", donor.tag_cost},
          {"summary", to_json(donor.summary)},
          {"hazards",
           {{"fire", donor.fire},
            {"injury", donor.injury},
            {"damage", donor.damage},
            {"false_signal", donor.false_signal}}},
          {"tags", std::move(tags)}};
}

}  // namespace

nlohmann::ordered_json to_json(const RankReport& report, const Problems& problems) {
  Json donors = Json::array();
  for (const RankedDonor& donor : report.donors) donors.push_back(donor_json(donor));
  return {{"donors", std::move(donors)},
          {"considered", report.considered},
          {"compared_in_full", report.compared_in_full},
          {"problems", problems_json(problems)}};
}

}  // namespace loomgraft
