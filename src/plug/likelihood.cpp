#include "plug/likelihood.h"

#include <algorithm>
#include <cmath>

namespace loomgraft::plug {
namespace {

constexpr std::size_t group_size = 8;  // 2^8 sets of items: exact for what people see at a glance
constexpr double tiny = 1e-300;        // a zero would cancel all other evidence

// Chances of one item in every cell, and their mean.
struct EvidenceChances {
  std::vector<double> in_cell;
  double mean = 0.0;
};

EvidenceChances chances_in(const CavityEvidence& item, const PlugFaces& faces,
                           const SeeingCondition& condition, const PlugOdds& odds) {
  EvidenceChances chances;
  double sum = 0.0;
  for (const PlugCell& cell : faces.cells) {
    chances.in_cell.push_back(chance_of(item, cell, condition, odds));
    sum += chances.in_cell.back();
  }
  if (!faces.cells.empty()) {
    chances.mean = sum / static_cast<double>(faces.cells.size());
  } else {
    chances.mean = chance_of(item, cell_in_general(odds), condition, odds);
  }
  return chances;
}

struct Slip {
  int row = 0;
  int column = 0;
  double share = 0.0;
};

std::array<Slip, 5> common_slips(const PlugOdds& odds) {
  const double none = 1.0 - 2.0 * odds.slip_column_all - 2.0 * odds.slip_row_all;
  return {{{0, 0, none},
           {0, 1, odds.slip_column_all},
           {0, -1, odds.slip_column_all},
           {1, 0, odds.slip_row_all},
           {-1, 0, odds.slip_row_all}}};
}

// An item of which only the row, or only the column, is known.
double chance_in_line(const PlacedEvidence& placed, Slip slip, const EvidenceChances& chances,
                      const CavityGrid& grid) {
  double sum = 0.0;
  int count = 0;
  for (int row = 1; row <= static_cast<int>(grid.rows.size()); ++row) {
    if (placed.row != 0 && row != placed.row + slip.row) continue;
    const int columns = static_cast<int>(grid.rows[static_cast<std::size_t>(row - 1)].size());
    for (int column = 1; column <= columns; ++column) {
      if (placed.column != 0 && column != placed.column + slip.column) continue;
      sum += chances.in_cell[static_cast<std::size_t>(grid.at(row, column))];
      ++count;
    }
  }
  return count == 0 ? 0.0 : sum / count;
}

double chance_at_position(const PlacedEvidence& placed, Slip slip, const EvidenceChances& chances,
                          const CavityGrid& grid, const PlugOdds& odds) {
  const auto at = [&](int row, int column) {
    const int cell = grid.at(row, column);
    return cell < 0 ? 0.0 : chances.in_cell[static_cast<std::size_t>(cell)];
  };
  const int row = placed.row + slip.row;
  const int column = placed.column + slip.column;
  const double beside = at(row, column - 1) + at(row, column + 1) + at(row - 1, column) + at(row + 1, column);
  return (1.0 - odds.slip) * at(row, column) + 0.25 * odds.slip * beside;
}

double log_of_placed(const PlugEvidence& evidence, const std::vector<EvidenceChances>& chances,
                     const PlugFaces& faces, const CavityGrid& grid, const PlugOdds& odds) {
  std::vector<double> terms;
  for (const Slip& slip : common_slips(odds)) {
    double term = std::log(slip.share);
    for (std::size_t i = 0; i < evidence.placed.size(); ++i) {
      const PlacedEvidence& placed = evidence.placed[i];
      const bool whole = placed.row != 0 && placed.column != 0;
      const double there = whole ? chance_at_position(placed, slip, chances[i], grid, odds)
                                 : chance_in_line(placed, slip, chances[i], grid);
      term += std::log(std::max(tiny, (1.0 - faces.misplaced) * there + faces.misplaced * chances[i].mean));
    }
    terms.push_back(term);
  }
  return log_of_sum(terms);
}

double latch_share(Side side, const PlugOdds& odds) {
  switch (side) {
    case Side::top:
      return odds.latch_top;
    case Side::bottom:
      return odds.latch_bottom;
    case Side::left:
      return odds.latch_left;
    case Side::right:
      return odds.latch_right_hand;
    case Side::unknown:
      break;
  }
  return 1.0;
}

double log_of_handling(const PlugEvidence& evidence, const PlugFaces& faces,
                       const PlugFaces::Orientation& orientation, const PlugOdds& odds) {
  double chance = 1.0;
  if (evidence.latch != Side::unknown) {
    if (orientation.latch == Side::unknown) {
      chance *= latch_share(evidence.latch, odds);
    } else {
      chance *= orientation.latch == evidence.latch ? odds.latch_right : (1.0 - odds.latch_right) / 3.0;
    }
  }
  if (evidence.looked_from != View::unknown) {
    const double right = odds.looked_from_right;
    const double drawn = faces.view_assumed ? odds.view_assumed_right : 1.0;
    const double same = drawn * right + (1.0 - drawn) * (1.0 - right);
    chance *= orientation.view == evidence.looked_from ? same : 1.0 - same;
  }
  return std::log(std::max(tiny, chance));
}

double log_mean_of_group(const std::vector<std::vector<double>>& chances, std::size_t from, std::size_t to) {
  const std::size_t items = to - from;
  const std::size_t cells = chances[from].size();
  // sums[set]: over all placements of the items in `set` in distinct cells so far.
  std::vector<double> sums(std::size_t{1} << items, 0.0);
  sums[0] = 1.0;
  std::vector<double> before;
  for (std::size_t cell = 0; cell < cells; ++cell) {
    before = sums;
    for (std::size_t item = 0; item < items; ++item) {
      const double chance = chances[from + item][cell];
      const std::size_t bit = std::size_t{1} << item;
      // Sets that hold this item, in runs of neighbours.
      for (std::size_t run = bit; run < sums.size(); run += 2 * bit) {
        for (std::size_t i = 0; i < bit; ++i) sums[run + i] += before[run + i - bit] * chance;
      }
    }
  }
  double placements = 1.0;
  for (std::size_t i = 0; i < items; ++i) placements *= static_cast<double>(cells - i);
  return std::log(std::max(tiny, sums.back() / placements));
}

}  // namespace

double log_of_sum(const std::vector<double>& terms) {
  if (terms.empty()) return -INFINITY;
  const double largest = *std::max_element(terms.begin(), terms.end());
  if (!std::isfinite(largest)) return largest;
  double sum = 0.0;
  for (const double term : terms) sum += std::exp(term - largest);
  return largest + std::log(sum);
}

double log_mean_over_placements(const std::vector<std::vector<double>>& chances) {
  double log_mean = 0.0;
  std::size_t from = 0;
  while (from < chances.size()) {
    // More items than cells cannot all be of different cavities; then they are taken in smaller groups.
    const std::size_t most = std::min(group_size, std::max<std::size_t>(1, chances[from].size()));
    const std::size_t to = std::min(chances.size(), from + most);
    if (chances[from].empty()) return log_mean;
    log_mean += log_mean_of_group(chances, from, to);
    from = to;
  }
  return log_mean;
}

std::array<double, 4> log_likelihood(const PlugEvidence& evidence, const PlugFaces& faces,
                                     const PlugOdds& odds) {
  std::array<std::vector<double>, 4> terms;
  for (const SeeingCondition& condition : odds.conditions) {
    std::vector<EvidenceChances> placed;
    for (const PlacedEvidence& item : evidence.placed) {
      placed.push_back(chances_in(item.item, faces, condition, odds));
    }
    std::vector<std::vector<double>> anywhere;
    double in_general = 0.0;  // of a plug with no cell at all
    for (const CavityEvidence& item : evidence.anywhere) {
      EvidenceChances chances = chances_in(item, faces, condition, odds);
      if (faces.cells.empty()) in_general += std::log(std::max(tiny, chances.mean));
      anywhere.push_back(std::move(chances.in_cell));
    }
    const double common = std::log(condition.share) + in_general + log_mean_over_placements(anywhere);
    for (std::size_t o = 0; o < faces.orientations.size(); ++o) {
      terms[o].push_back(common + log_of_placed(evidence, placed, faces, faces.orientations[o].grid, odds));
    }
  }
  std::array<double, 4> logs{};
  for (std::size_t o = 0; o < faces.orientations.size(); ++o) {
    logs[o] = log_of_sum(terms[o]) + log_of_handling(evidence, faces, faces.orientations[o], odds);
  }
  return logs;
}

double log_likelihood_of_none(const PlugEvidence& evidence, const PlugOdds& odds) {
  const PlugCell cell = cell_in_general(odds);
  std::vector<double> terms;
  for (const SeeingCondition& condition : odds.conditions) {
    double term = std::log(condition.share);
    for (const PlacedEvidence& placed : evidence.placed) {
      term += std::log(std::max(tiny, chance_of(placed.item, cell, condition, odds)));
    }
    for (const CavityEvidence& item : evidence.anywhere) {
      term += std::log(std::max(tiny, chance_of(item, cell, condition, odds)));
    }
    terms.push_back(term);
  }
  // Either side is equally likely where nothing is known about the plug.
  const double side = evidence.looked_from == View::unknown ? 1.0 : 0.5;
  return log_of_sum(terms) + std::log(side * latch_share(evidence.latch, odds));
}

}  // namespace loomgraft::plug
