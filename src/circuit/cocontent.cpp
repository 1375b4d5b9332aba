#include "circuit/cocontent.h"

#include <algorithm>
#include <cstddef>

namespace loomgraft {
namespace {

double across(const NodalBranch& branch, std::span<const double> volts) {
  return volts[branch.a] - volts[branch.b];
}

// Where along the step an element comes to another piece, and by how much the co-content's curvature changes
// there. Returns what the element's first piece adds to the curvature, beyond the piece solved with.
double add_knees(const PiecewiseElement& element, double start, double step,
                 std::vector<std::pair<double, double>>& knees) {
  const Law& law = element.law;
  const int ahead = step > 0.0 ? 1 : -1;
  int piece = element.piece;
  if (step > 0.0 && piece + 1 < law.pieces && start == law.knee[static_cast<std::size_t>(piece)]) ++piece;
  const double first = law.slope[static_cast<std::size_t>(piece)];
  for (int next = piece; step > 0.0 ? next + 1 < law.pieces : next > 0;) {
    const auto from = static_cast<std::size_t>(next);
    next += ahead;
    const auto to = static_cast<std::size_t>(next);
    const double at = (law.knee[std::min(from, to)] - start) / step;
    knees.emplace_back(std::max(at, 0.0), (law.slope[to] - law.slope[from]) * step * step);
  }
  return (first - law.slope[static_cast<std::size_t>(element.piece)]) * step * step;
}

}  // namespace

// The slope of the co-content along the way is piecewise linear and rising. The target is the minimum of the pieces
// solved with, so the slope at the start is minus their curvature.
double step_of_least_cocontent(std::span<const NodalBranch> branches,
                               std::span<const PiecewiseElement> nonlinear, std::span<const double> from,
                               std::span<const double> target,
                               std::vector<std::pair<double, double>>& knees) {
  double curvature = 0.0;
  for (const NodalBranch& branch : branches) {
    const double step = across(branch, target) - across(branch, from);
    curvature += branch.conductance * step * step;
  }
  double slope = -curvature;
  knees.clear();
  for (const PiecewiseElement& element : nonlinear) {
    const double start = across(branches[element.branch], from);
    const double step = across(branches[element.branch], target) - start;
    if (step != 0.0) curvature += add_knees(element, start, step, knees);
  }
  std::sort(knees.begin(), knees.end());
  double reached = 0.0;
  for (const auto& [at, change] : knees) {
    const double there = slope + curvature * (at - reached);
    if (there >= 0.0) break;
    slope = there;
    reached = at;
    curvature += change;
  }
  return curvature > 0.0 && slope < 0.0 ? reached - slope / curvature : reached;
}

}  // namespace loomgraft
