#include "plug/plug.h"

#include <algorithm>
#include <cmath>
#include <map>

#include "plug/evidence.h"
#include "plug/faces.h"
#include "plug/likelihood.h"
#include "plug/next_cavity.h"

namespace loomgraft {

using namespace plug;
namespace {

void add_problem(Problems& problems, Severity severity, ProblemCode code, std::string message,
                 std::string remedy) {
  problems.push_back({severity, code, {}, std::move(message), std::move(remedy)});
}

PlugOptions checked(PlugOptions options, Problems& problems) {
  const PlugOptions defaults;
  if (!(options.certainty > 0.0 && options.certainty <= 1.0)) {
    add_problem(problems, Severity::warning, "certainty-impossible",
                "The certainty asked for is not between 0 and 1; the default is used.",
                "Give a probability such as 0.9.");
    options.certainty = defaults.certainty;
  }
  if (!(std::isfinite(options.none_prior) && options.none_prior >= 0.0)) {
    add_problem(problems, Severity::warning, "prior-impossible",
                "The odds of \"none of these\" are not a number of at least 0; the default is used.",
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
      add_problem(problems, Severity::error, "plug-missing", "A plug to choose from has no connector.",
                  "Name a connector of the graft.");
      continue;
    }
    all.push_back(faces_of(candidate, odds));
    const std::string& id = candidate.connector->id;
    if (all.back().misplaced >= odds.misplaced_guessed) {
      add_problem(
          problems, Severity::note, "rows-guessed",
          "The rows of plug " + id + " were laid out by the program: positions count for little there.",
          "Give the rows of cavities of " + id + " as its drawing shows them.");
    }
    if (candidate.connector->view == View::unknown && !candidate.connector->rows.empty()) {
      add_problem(problems, Severity::note, "view-assumed",
                  "The side that plug " + id + " is drawn from is not known; the wire-entry side is assumed.",
                  "State the view of " + id + "; the other side is its mirror image.");
    }
  }
  if (all.empty()) {
    add_problem(problems, Severity::error, "no-plugs", "There are no plugs to choose from.",
                "Load a pin table with connectors first.");
  }
  return all;
}

// A latch seen at the side of a plug that has it on top means that the plug is held on its side.
void check_latch(const Observation& observation, const std::vector<PlugFaces>& all, Problems& problems) {
  if (observation.latch == Side::unknown) return;
  for (const PlugFaces& faces : all) {
    for (const PlugFaces::Orientation& orientation : faces.orientations) {
      if (orientation.latch == Side::unknown || orientation.latch == observation.latch) return;
    }
  }
  if (all.empty()) return;
  add_problem(problems, Severity::warning, "held-sideways",
              "No plug has its latch on that side, either way up: this one may be held on its side.",
              "Hold the plug so that its longer rows lie level, and count again.");
}

std::vector<WeightedHypothesis> posterior(const std::vector<PlugFaces>& all, const PlugEvidence& evidence,
                                          const PlugOptions& options, const PlugOdds& odds) {
  std::vector<WeightedHypothesis> hypotheses;
  std::vector<double> logs;
  const double ways_of_all = 4.0 * static_cast<double>(all.size());
  for (const PlugFaces& faces : all) {
    const std::array<double, 4> likelihood = log_likelihood(evidence, faces, odds);
    for (std::size_t orientation = 0; orientation < likelihood.size(); ++orientation) {
      hypotheses.push_back({&faces, orientation, 0.0});
      logs.push_back(likelihood[orientation] - std::log(ways_of_all));
    }
  }
  if (options.none_prior > 0.0 || hypotheses.empty()) {
    hypotheses.push_back({nullptr, 0, 0.0});
    logs.push_back(
        hypotheses.size() == 1 ? 0.0 : std::log(options.none_prior) + log_likelihood_of_none(evidence, odds));
  }
  const double total = log_of_sum(logs);
  for (std::size_t i = 0; i < hypotheses.size(); ++i) hypotheses[i].probability = std::exp(logs[i] - total);
  std::stable_sort(
      hypotheses.begin(), hypotheses.end(),
      [](const WeightedHypothesis& a, const WeightedHypothesis& b) { return a.probability > b.probability; });
  return hypotheses;
}

std::vector<PlugHypothesis> hypotheses_of(const std::vector<WeightedHypothesis>& weighted) {
  std::vector<PlugHypothesis> hypotheses;
  for (const WeightedHypothesis& hypothesis : weighted) {
    if (hypothesis.faces == nullptr) {
      hypotheses.push_back({"", View::unknown, false, hypothesis.probability});
    } else {
      const PlugFaces::Orientation& held = hypothesis.faces->orientations[hypothesis.orientation];
      hypotheses.push_back({hypothesis.faces->connector, held.view, held.turned, hypothesis.probability});
    }
  }
  return hypotheses;
}

std::vector<PlugProbability> shares_of(const std::vector<WeightedHypothesis>& hypotheses) {
  std::vector<PlugProbability> shares;
  std::vector<const PlugFaces*> plugs;
  for (const WeightedHypothesis& hypothesis : hypotheses) {
    const auto found = std::find(plugs.begin(), plugs.end(), hypothesis.faces);
    if (found != plugs.end()) {
      shares[static_cast<std::size_t>(found - plugs.begin())].probability += hypothesis.probability;
      continue;
    }
    plugs.push_back(hypothesis.faces);
    shares.push_back(
        {hypothesis.faces == nullptr ? "" : hypothesis.faces->connector, hypothesis.probability});
  }
  std::stable_sort(shares.begin(), shares.end(), [](const PlugProbability& a, const PlugProbability& b) {
    return a.probability > b.probability;
  });
  return shares;
}

std::string third_of(int at, int count, const char* first, const char* middle, const char* last) {
  if (count <= 1) return "";
  const double share = static_cast<double>(at - 1) / static_cast<double>(count - 1);
  if (share < 1.0 / 3.0) return first;
  return share > 2.0 / 3.0 ? last : middle;
}

std::string describe_corner(const CavityPosition& position, const CavityGrid& grid) {
  const int rows = static_cast<int>(grid.rows.size());
  const int columns = static_cast<int>(grid.rows[static_cast<std::size_t>(position.row - 1)].size());
  const std::string height = third_of(position.row, rows, "top", "middle", "bottom");
  const std::string along = third_of(position.column, columns, "left", "middle", "right");
  if (height.empty() || along.empty()) return height + along;
  return height == along ? height : height + " " + along;
}

void describe_best(const std::vector<WeightedHypothesis>& hypotheses, PlugReport& report) {
  const WeightedHypothesis& best = hypotheses.front();
  if (best.faces == nullptr) return;
  const CavityGrid& grid = best.faces->orientations[best.orientation].grid;
  const int first = first_cavity(*best.faces);
  for (std::size_t row = 0; row < grid.rows.size(); ++row) {
    for (std::size_t column = 0; column < grid.rows[row].size(); ++column) {
      const int cell = grid.rows[row][column];
      report.positions.push_back({static_cast<int>(row) + 1, static_cast<int>(column) + 1,
                                  best.faces->cavities[static_cast<std::size_t>(cell)]});
      if (cell == first) report.cavity_one = report.positions.back();
    }
  }
  if (report.cavity_one) report.cavity_one_text = describe_corner(*report.cavity_one, grid);
  if (grid.rows.empty()) return;
  for (const WeightedHypothesis& hypothesis : hypotheses) {
    if (hypothesis.faces == best.faces &&
        hypothesis.faces->orientations[hypothesis.orientation].grid.rows == grid.rows) {
      report.positions_probability += hypothesis.probability;
    }
  }
}

}  // namespace

PlugReport find_plug(const std::vector<PlugCandidate>& candidates, const Observation& observation,
                     const PlugOptions& options) {
  PlugReport report;
  const PlugOdds& odds = plug_odds();
  const PlugOptions used = checked(options, report.problems);
  const std::vector<PlugFaces> all = usable_faces(candidates, odds, report.problems);
  const PlugEvidence evidence = evidence_of(observation, report.problems);
  check_latch(observation, all, report.problems);
  const std::vector<WeightedHypothesis> hypotheses = posterior(all, evidence, used, odds);
  report.hypotheses = hypotheses_of(hypotheses);
  report.certain = !all.empty() && report.hypotheses.front().probability >= used.certainty;
  report.plugs = shares_of(hypotheses);
  describe_best(hypotheses, report);
  report.next = next_cavities(hypotheses, evidence, odds);
  return report;
}

}  // namespace loomgraft
