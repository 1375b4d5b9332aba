#include "plug/next_cavity.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <tuple>

namespace loomgraft::plug {
namespace {

constexpr std::size_t tracer_reports = hue_count + 1;                 // none, or one of the hues
constexpr std::size_t no_cavity_report = hue_count * tracer_reports;  // after all colours
constexpr std::size_t empty_report = no_cavity_report + 1;
constexpr std::size_t report_count = empty_report + 1;
constexpr std::size_t most_cavities = 5;
constexpr double negligible = 1e-9;     // probability of a hypothesis that is ignored in choosing
constexpr double smallest_bits = 1e-6;  // rounding, not information

using Reports = std::array<double, report_count>;

double entropy_bits(const Reports& reports) {
  double bits = 0.0;
  for (const double p : reports) {
    if (p > 0.0) bits -= p * std::log2(p);
  }
  return bits;
}

Reports reports_of(const PlugCell& cell, const PlugOdds& odds) {
  Reports reports{};
  for (const SeeingCondition& condition : odds.conditions) {
    CavityEvidence item;
    for (std::size_t base = 0; base < hue_count; ++base) {
      for (std::size_t tracer = 0; tracer < tracer_reports; ++tracer) {
        item.hues = {static_cast<int>(base), static_cast<int>(tracer) - 1};
        reports[base * tracer_reports + tracer] += condition.share * chance_of(item, cell, condition, odds);
      }
    }
    item = CavityEvidence{{}, true, {}};
    reports[empty_report] += condition.share * chance_of(item, cell, condition, odds);
  }
  return reports;
}

// What may be reported of a position, and how uncertain that report is when the hypothesis is given.
struct Prediction {
  Reports reports{};
  double bits = 0.0;
};

// Predictions by kind of cell: looms have few kinds of cells and many positions.
class Predictions {
 public:
  explicit Predictions(const PlugOdds& odds)
      : odds_(odds), in_general_(reports_of(cell_in_general(odds), odds)) {}

  // `cell` null: there is no such position. `astray`: chance that the position given is not the one meant.
  std::size_t of(const PlugCell* cell, double astray) {
    const Key key = cell == nullptr
                        ? Key{-2, -2, 0.0, 0.0, astray}
                        : Key{cell->hues.base, cell->hues.tracer, cell->empty, cell->tracer_false, astray};
    const auto [slot, fresh] = index_.try_emplace(key, all_.size());
    if (fresh) all_.push_back(predict(cell, astray));
    return slot->second;
  }

  const Prediction& operator[](std::size_t kind) const { return all_[kind]; }

 private:
  using Key = std::tuple<int, int, double, double, double>;

  Prediction predict(const PlugCell* cell, double astray) const {
    Prediction prediction;
    if (cell == nullptr) {
      prediction.reports[no_cavity_report] = 1.0;
    } else {
      prediction.reports = reports_of(*cell, odds_);
    }
    for (std::size_t i = 0; i < report_count; ++i) {
      prediction.reports[i] = (1.0 - astray) * prediction.reports[i] + astray * in_general_[i];
    }
    prediction.bits = entropy_bits(prediction.reports);
    return prediction;
  }

  const PlugOdds& odds_;
  Reports in_general_;
  std::map<Key, std::size_t> index_;
  std::vector<Prediction> all_;
};

struct Extent {
  int rows = 0;
  int columns = 0;
};

Extent extent_of(const std::vector<WeightedHypothesis>& hypotheses) {
  Extent extent;
  for (const WeightedHypothesis& hypothesis : hypotheses) {
    if (hypothesis.faces == nullptr || hypothesis.probability < negligible) continue;
    const CavityGrid& grid = hypothesis.faces->orientations[hypothesis.orientation].grid;
    extent.rows = std::max(extent.rows, static_cast<int>(grid.rows.size()));
    for (const auto& row : grid.rows) extent.columns = std::max(extent.columns, static_cast<int>(row.size()));
  }
  return extent;
}

bool seen(const PlugEvidence& evidence, int row, int column) {
  return std::any_of(evidence.placed.begin(), evidence.placed.end(), [&](const PlacedEvidence& placed) {
    return placed.row == row && placed.column == column && placed.item.shows_wire();
  });
}

// Information in bits, or 0 where the position probably does not exist.
double information(const std::vector<WeightedHypothesis>& hypotheses, int row, int column,
                   Predictions& predictions, const PlugOdds& odds) {
  std::map<std::size_t, double> weights;
  double there = 0.0;
  double total = 0.0;
  const PlugCell in_general = cell_in_general(odds);
  for (const WeightedHypothesis& hypothesis : hypotheses) {
    if (hypothesis.probability < negligible) continue;
    if (hypothesis.faces == nullptr) {
      weights[predictions.of(&in_general, 0.0)] += hypothesis.probability;
      continue;
    }
    const int cell = hypothesis.faces->orientations[hypothesis.orientation].grid.at(row, column);
    total += hypothesis.probability;
    if (cell >= 0) there += hypothesis.probability;
    const double astray = std::min(1.0, odds.slip + hypothesis.faces->misplaced);
    const PlugCell* known = cell < 0 ? nullptr : &hypothesis.faces->cells[static_cast<std::size_t>(cell)];
    weights[predictions.of(known, astray)] += hypothesis.probability;
  }
  if (there < 0.5 * total || there <= 0.0) return 0.0;
  Reports mixture{};
  double given = 0.0;
  double weight_sum = 0.0;
  for (const auto& [kind, weight] : weights) {
    const Prediction& prediction = predictions[kind];
    for (std::size_t i = 0; i < report_count; ++i) mixture[i] += weight * prediction.reports[i];
    given += weight * prediction.bits;
    weight_sum += weight;
  }
  for (double& p : mixture) p /= weight_sum;
  return entropy_bits(mixture) - given / weight_sum;
}

}  // namespace

std::vector<NextCavity> next_cavities(const std::vector<WeightedHypothesis>& hypotheses,
                                      const PlugEvidence& evidence, const PlugOdds& odds) {
  Predictions predictions(odds);
  std::vector<NextCavity> best;
  const Extent extent = extent_of(hypotheses);
  for (int row = 1; row <= extent.rows; ++row) {
    for (int column = 1; column <= extent.columns; ++column) {
      if (seen(evidence, row, column)) continue;
      const double bits = information(hypotheses, row, column, predictions, odds);
      if (bits > smallest_bits) best.push_back({row, column, bits});
    }
  }
  std::stable_sort(best.begin(), best.end(), [](const NextCavity& a, const NextCavity& b) {
    return a.information_bits > b.information_bits;
  });
  if (best.size() > most_cavities) best.resize(most_cavities);
  return best;
}

}  // namespace loomgraft::plug
