#include "plug/plug.h"

#include <algorithm>
#include <cmath>
#include <map>

#include "plug/evidence.h"
#include "plug/faces.h"
#include "plug/likelihood.h"
#include "plug/next_look.h"

namespace loomgraft {

using namespace plug;
namespace {

void complain(Problems& problems, Severity severity, const char* code, std::string message,
              std::string remedy) {
  problems.push_back({severity, code, {}, std::move(message), std::move(remedy)});
}

PlugOptions checked(PlugOptions options, Problems& problems) {
  const PlugOptions defaults;
  if (!(options.certainty > 0.0 && options.certainty <= 1.0)) {
    complain(problems, Severity::warning, "certainty-impossible",
             "The certainty asked for is not between 0 and 1; the usual one is used.",
             "Give a probability such as 0.9.");
    options.certainty = defaults.certainty;
  }
  if (!(std::isfinite(options.none_prior) && options.none_prior >= 0.0)) {
    complain(problems, Severity::warning, "prior-impossible",
             "The odds of \"none of these\" are not a number of at least 0; the usual ones are used.",
             "Give odds such as 0.02.");
    options.none_prior = defaults.none_prior;
  }
  return options;
}

std::vector<PlugFaces> usable_faces(const std::vector<PlugCandidate>& candidates, const PlugOdds& odds,
                                    Problems& problems) {
  std::vector<PlugFaces> all;
  for (const PlugCandidate& candidate : candidates) {
    if (candidate.connector == nullptr) {
      complain(problems, Severity::error, "plug-missing", "A plug to choose from has no connector.",
               "Name a connector of the graft.");
      continue;
    }
    all.push_back(faces_of(candidate, odds));
    const std::string& id = candidate.connector->id;
    if (all.back().misplaced >= odds.misplaced_guessed) {
      complain(problems, Severity::note, "rows-guessed",
               "The rows of plug " + id + " are laid out by the program: places count for little there.",
               "Give the rows of cavities of " + id + " as its drawing shows them.");
    }
    if (candidate.connector->view == View::unknown && !candidate.connector->rows.empty()) {
      complain(problems, Severity::note, "view-assumed",
               "From which side plug " + id + " is drawn is not known; the wire entry is taken.",
               "State the view of " + id + "; the other side is its mirror image.");
    }
  }
  if (all.empty()) {
    complain(problems, Severity::error, "no-plugs", "There are no plugs to choose from.",
             "Load a pin table with connectors first.");
  }
  return all;
}

// A latch at the side of a plug drawn with it on top means that the plug is held on its side.
void check_latch(const Glimpse& glimpse, const std::vector<PlugFaces>& all, Problems& problems) {
  if (glimpse.latch == Side::unknown) return;
  for (const PlugFaces& faces : all) {
    for (const PlugFaces::Way& way : faces.ways) {
      if (way.latch == Side::unknown || way.latch == glimpse.latch) return;
    }
  }
  if (all.empty()) return;
  complain(problems, Severity::warning, "held-sideways",
           "No plug has its latch on that side, either way up: this one may be held on its side.",
           "Hold the plug so that its longer rows lie level, and count again.");
}

std::vector<WeightedWay> posterior(const std::vector<PlugFaces>& all, const PlugEvidence& evidence,
                                   const PlugOptions& options, const PlugOdds& odds) {
  std::vector<WeightedWay> ways;
  std::vector<double> logs;
  const double ways_of_all = 4.0 * static_cast<double>(all.size());
  for (const PlugFaces& faces : all) {
    const std::array<double, 4> likelihood = log_likelihood(evidence, faces, odds);
    for (std::size_t way = 0; way < likelihood.size(); ++way) {
      ways.push_back({&faces, way, 0.0});
      logs.push_back(likelihood[way] - std::log(ways_of_all));
    }
  }
  if (options.none_prior > 0.0 || ways.empty()) {
    ways.push_back({nullptr, 0, 0.0});
    logs.push_back(ways.size() == 1 ? 0.0
                                    : std::log(options.none_prior) + log_likelihood_of_none(evidence, odds));
  }
  const double total = log_of_sum(logs);
  for (std::size_t i = 0; i < ways.size(); ++i) ways[i].probability = std::exp(logs[i] - total);
  std::stable_sort(ways.begin(), ways.end(),
                   [](const WeightedWay& a, const WeightedWay& b) { return a.probability > b.probability; });
  return ways;
}

std::vector<PlugHypothesis> hypotheses_of(const std::vector<WeightedWay>& ways) {
  std::vector<PlugHypothesis> hypotheses;
  for (const WeightedWay& way : ways) {
    if (way.faces == nullptr) {
      hypotheses.push_back({"", View::unknown, false, way.probability});
    } else {
      const PlugFaces::Way& held = way.faces->ways[way.way];
      hypotheses.push_back({way.faces->connector, held.view, held.turned, way.probability});
    }
  }
  return hypotheses;
}

std::vector<PlugShare> shares_of(const std::vector<WeightedWay>& ways) {
  std::vector<PlugShare> shares;
  std::vector<const PlugFaces*> plugs;
  for (const WeightedWay& way : ways) {
    const auto found = std::find(plugs.begin(), plugs.end(), way.faces);
    if (found != plugs.end()) {
      shares[static_cast<std::size_t>(found - plugs.begin())].probability += way.probability;
      continue;
    }
    plugs.push_back(way.faces);
    shares.push_back({way.faces == nullptr ? "" : way.faces->connector, way.probability});
  }
  std::stable_sort(shares.begin(), shares.end(),
                   [](const PlugShare& a, const PlugShare& b) { return a.probability > b.probability; });
  return shares;
}

std::string third_of(int at, int count, const char* first, const char* middle, const char* last) {
  if (count <= 1) return "";
  const double share = static_cast<double>(at - 1) / static_cast<double>(count - 1);
  if (share < 1.0 / 3.0) return first;
  return share > 2.0 / 3.0 ? last : middle;
}

std::string corner_words(const SeenPlace& place, const PlaceGrid& grid) {
  const int rows = static_cast<int>(grid.rows.size());
  const int columns = static_cast<int>(grid.rows[static_cast<std::size_t>(place.row - 1)].size());
  const std::string height = third_of(place.row, rows, "top", "middle", "bottom");
  const std::string along = third_of(place.column, columns, "left", "middle", "right");
  if (height.empty() || along.empty()) return height + along;
  return height == along ? height : height + " " + along;
}

void describe_best(const std::vector<WeightedWay>& ways, PlugReport& report) {
  const WeightedWay& best = ways.front();
  if (best.faces == nullptr) return;
  const PlaceGrid& grid = best.faces->ways[best.way].grid;
  const int first = first_cavity(*best.faces);
  for (std::size_t row = 0; row < grid.rows.size(); ++row) {
    for (std::size_t column = 0; column < grid.rows[row].size(); ++column) {
      const int cell = grid.rows[row][column];
      report.places.push_back({static_cast<int>(row) + 1, static_cast<int>(column) + 1,
                               best.faces->cavities[static_cast<std::size_t>(cell)]});
      if (cell == first) report.cavity_one = report.places.back();
    }
  }
  if (report.cavity_one) report.cavity_one_words = corner_words(*report.cavity_one, grid);
  if (grid.rows.empty()) return;
  for (const WeightedWay& way : ways) {
    if (way.faces == best.faces && way.faces->ways[way.way].grid.rows == grid.rows) {
      report.places_probability += way.probability;
    }
  }
}

}  // namespace

PlugReport find_plug(const std::vector<PlugCandidate>& candidates, const Glimpse& glimpse,
                     const PlugOptions& options) {
  PlugReport report;
  const PlugOdds& odds = plug_odds();
  const PlugOptions used = checked(options, report.problems);
  const std::vector<PlugFaces> all = usable_faces(candidates, odds, report.problems);
  const PlugEvidence evidence = evidence_of(glimpse, report.problems);
  check_latch(glimpse, all, report.problems);
  const std::vector<WeightedWay> ways = posterior(all, evidence, used, odds);
  report.hypotheses = hypotheses_of(ways);
  report.certain = !all.empty() && report.hypotheses.front().probability >= used.certainty;
  report.plugs = shares_of(ways);
  describe_best(ways, report);
  report.next = next_looks(ways, evidence, odds);
  return report;
}

}  // namespace loomgraft
