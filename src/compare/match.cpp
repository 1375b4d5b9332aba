#include "compare/match.h"

#include <algorithm>
#include <cstdint>
#include <set>

#include "base/union_find.h"
#include "compare/assignment.h"

namespace loomgraft {

using namespace compare;
namespace {

struct Candidate {
  int found = 0;
  int donor = 0;
  double score = 0.0;
};

bool takes_part(const PinKey& pin) {
  return pin.function != 0;
}

// What needs no similarity: pins whose partner a person named, and pairs that a person took apart.
struct Answered {
  std::vector<bool> found, donor;
  std::set<PinPair> apart;
};

Answered answered_in(const PairAnswers& answers, std::size_t found, std::size_t donor) {
  Answered answered{std::vector<bool>(found),
                    std::vector<bool>(donor),
                    {answers.different.begin(), answers.different.end()}};
  for (const PinPair& pair : answers.same) answered.found[pair.found] = answered.donor[pair.donor] = true;
  return answered;
}

std::vector<Candidate> candidates(const ModuleView& found, const ModuleView& donor, const PlugMap& plugs,
                                  const FunctionTable& functions, const MatchOptions& options,
                                  const Answered& answered) {
  std::vector<Candidate> list;
  for (std::size_t f = 0; f < found.pins.size(); ++f) {
    if (!takes_part(found.pins[f]) || answered.found[f]) continue;
    for (std::size_t d = 0; d < donor.pins.size(); ++d) {
      if (!takes_part(donor.pins[d]) || answered.donor[d] || answered.apart.contains({f, d})) continue;
      const bool here = same_cavity(found.pins[f], donor.pins[d], plugs);
      const double similarity =
          pair_similarity(found.pins[f], donor.pins[d], here,
                          functions.similarity(found.pins[f].function, donor.pins[d].function), functions);
      if (similarity <= 0.0) continue;
      const double value = score(found.pins[f], donor.pins[d], here, similarity, functions, options);
      if (value >= options.ask) list.push_back({static_cast<int>(f), static_cast<int>(d), value});
    }
  }
  return list;
}

// Candidates of one connected group, as a dense table; a pair that is no candidate costs nothing and means
// "left alone".
void assign_group(const std::vector<Candidate>& group, Matching& matching) {
  std::vector<int> rows, columns;
  for (const Candidate& c : group) {
    rows.push_back(c.found);
    columns.push_back(c.donor);
  }
  for (auto* list : {&rows, &columns}) {
    std::sort(list->begin(), list->end());
    list->erase(std::unique(list->begin(), list->end()), list->end());
  }
  const auto place = [](const std::vector<int>& list, int value) {
    return static_cast<std::size_t>(std::lower_bound(list.begin(), list.end(), value) - list.begin());
  };
  std::vector<double> cost(rows.size() * columns.size(), 0.0);
  for (const Candidate& c : group)
    cost[place(rows, c.found) * columns.size() + place(columns, c.donor)] = -c.score;
  const std::vector<int> chosen =
      assign(cost, static_cast<int>(rows.size()), static_cast<int>(columns.size()));
  for (std::size_t r = 0; r < rows.size(); ++r) {
    if (chosen[r] < 0) continue;
    const double value = -cost[r * columns.size() + static_cast<std::size_t>(chosen[r])];
    if (value <= 0.0) continue;
    const int d = columns[static_cast<std::size_t>(chosen[r])];
    matching.by_found[static_cast<std::size_t>(rows[r])] = {d, value, 0.0, false};
    matching.by_donor[static_cast<std::size_t>(d)] = rows[r];
  }
}

void note_runner_ups(const std::vector<Candidate>& list, const ModuleView& found, const ModuleView& donor,
                     Matching& matching) {
  for (const Candidate& c : list) {
    const auto f = static_cast<std::size_t>(c.found);
    const auto d = static_cast<std::size_t>(c.donor);
    Match& own = matching.by_found[f];
    // Another pin with the same function (one of several earths) is no rival: it does not matter which
    // serves.
    if (own.donor >= 0 && own.donor != c.donor &&
        donor.pins[static_cast<std::size_t>(own.donor)].function != donor.pins[d].function) {
      own.runner_up = std::max(own.runner_up, c.score);
    }
    const int rival = matching.by_donor[d];
    if (rival >= 0 && rival != c.found &&
        found.pins[static_cast<std::size_t>(rival)].function != found.pins[f].function) {
      Match& other = matching.by_found[static_cast<std::size_t>(rival)];
      other.runner_up = std::max(other.runner_up, c.score);
    }
  }
}

}  // namespace

bool same_cavity(const PinKey& found, const PinKey& donor, const PlugMap& plugs) {
  return found.cavity == donor.cavity && donor.connector < plugs.found_of.size() &&
         plugs.found_of[donor.connector] == found.connector;
}

double similarity_in_cavity(const PinKey& found, const PinKey& donor, double function_similarity) {
  constexpr double taken_for_one = 0.7;  // common practice, no source
  switch (found.pin_class) {
    case PinClass::supply_30:
    case PinClass::supply_15:
    case PinClass::power_earth:
    case PinClass::sensor_earth:
    case PinClass::shield:
      return found.pin_class == donor.pin_class ? std::max(function_similarity, taken_for_one)
                                                : function_similarity;
    default:
      return function_similarity;
  }
}

SameNetwork same_network(const PinKey& found, const PinKey& donor, const FunctionTable& functions) {
  if (!found.networked || !donor.networked) return SameNetwork::unknown;
  if (found.far_end == donor.far_end) return SameNetwork::yes;
  return functions.similarity(found.far_end, donor.far_end) > 0.0 ? SameNetwork::maybe : SameNetwork::no;
}

double pair_similarity(const PinKey& found, const PinKey& donor, bool same_cavity, double function_similarity,
                       const FunctionTable& functions) {
  // Common practice, no source. Below the first, two names have nothing of a bus in common.
  constexpr double smallest_of_two_buses = 0.2;
  constexpr double taken_for_one_bus = 0.95;
  constexpr double number_alone = 0.75;  // one side names its networks, the other only numbers them
  switch (same_network(found, donor, functions)) {
    case SameNetwork::no:
      return 0.0;
    case SameNetwork::yes:
      if (found.pin_class == donor.pin_class && function_similarity >= smallest_of_two_buses)
        return std::max(function_similarity, taken_for_one_bus);
      break;
    case SameNetwork::maybe:
      break;
    case SameNetwork::unknown:
      if (found.networked != donor.networked) return number_alone * function_similarity;
      break;
  }
  return same_cavity ? similarity_in_cavity(found, donor, function_similarity) : function_similarity;
}

double score(const PinKey& found, const PinKey& donor, bool same_cavity, double function_similarity,
             const FunctionTable& functions, const MatchOptions& options) {
  double weight = options.function + options.cavity;
  double sum = options.function * function_similarity + options.cavity * (same_cavity ? 1.0 : 0.0);
  if (found.pin_class != PinClass::unknown && donor.pin_class != PinClass::unknown) {
    weight += options.pin_class;
    sum += found.pin_class == donor.pin_class ? options.pin_class : 0.0;
  }
  if (found.far_end != 0 && donor.far_end != 0 && found.networked == donor.networked) {
    weight += options.far_end;
    sum += options.far_end * functions.similarity(found.far_end, donor.far_end);
  }
  if (found.colour != 0 && donor.colour != 0) {
    weight += options.colour;
    sum += found.colour == donor.colour ? options.colour : 0.0;
  }
  return sum / weight;
}

Matching match(const ModuleView& found, const ModuleView& donor, const FunctionTable& functions,
               const MatchOptions& options, const PairAnswers& answers) {
  Matching matching;
  matching.by_found.resize(found.pins.size());
  matching.by_donor.assign(donor.pins.size(), -1);
  matching.plugs = map_plugs(found, donor);
  const std::vector<Candidate> list = candidates(found, donor, matching.plugs, functions, options,
                                                 answered_in(answers, found.pins.size(), donor.pins.size()));
  UnionFind groups(found.pins.size() + donor.pins.size());  // found pins, then donor pins
  const auto found_item = [](const Candidate& c) { return static_cast<std::uint32_t>(c.found); };
  const auto donors = static_cast<std::uint32_t>(found.pins.size());
  for (const Candidate& c : list) groups.join(found_item(c), donors + static_cast<std::uint32_t>(c.donor));
  std::vector<std::vector<Candidate>> by_group(found.pins.size() + donor.pins.size());
  for (const Candidate& c : list) by_group[groups.root(found_item(c))].push_back(c);
  for (const auto& group : by_group) {
    if (!group.empty()) assign_group(group, matching);
  }
  note_runner_ups(list, found, donor, matching);
  for (const PinPair& pair : answers.same) {
    matching.by_found[pair.found] = {static_cast<int>(pair.donor), 1.0, 0.0, true};
    matching.by_donor[pair.donor] = static_cast<int>(pair.found);
  }
  matching.apart = answers.different;
  return matching;
}

}  // namespace loomgraft
