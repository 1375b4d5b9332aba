// The spreads, arranged for the inner loops.
#include <algorithm>
#include <cmath>

#include "readings/bands_internal.h"

namespace loomgraft::readings {
namespace {

constexpr double faint_amperes = 1e-5;
constexpr double faint_siemens = 1e-6;
constexpr double light_siemens = 0.1;

bool is_faint(const SpanChange& change, Position reference) {
  const auto size = [](const double(&of)[2]) { return std::max(std::abs(of[0]), std::abs(of[1])); };
  return (change.a == reference || change.b == reference) && size(change.flow) <= faint_amperes &&
         size(change.stiffness) <= faint_siemens;
}

void add_faint(const FarDipole& far, const SpanChange& change, std::vector<FaintSpan>& by_position) {
  const double rise = std::max({0.0, -change.flow[0], -change.flow[1]});
  const double fall = std::max({0.0, change.flow[0], change.flow[1]});
  for (std::size_t k = 0; k < far.terms; ++k) {
    FaintSpan& faint = by_position[far.to[k]];
    const bool up = far.share[k] > 0.0;
    faint.rise += std::abs(far.share[k]) * (up ? rise : fall);
    faint.fall += std::abs(far.share[k]) * (up ? fall : rise);
  }
}

void add_far(const FarDipole& far, const SpanChange& change, SpanTable& table) {
  const double stiffness = std::max(std::abs(change.stiffness[0]), std::abs(change.stiffness[1]));
  const double weight = stiffness * far.size() * far.size();
  FarSpans& spans = weight <= light_siemens ? table.light : table.heavy;
  spans.weight = std::max(spans.weight, weight);
  FarSpan& made = spans.at.emplace_back();
  std::copy_n(far.to, far_terms, made.to);
  std::copy_n(far.share, far_terms, made.share);
  std::copy_n(change.flow, 2, made.flow);
  std::copy_n(change.stiffness, 2, made.stiffness);
}

}  // namespace

SpanTable span_table(const BandEngine& engine, const TreeCore& core) {
  const Position reference = engine.linearised.tree->count;
  SpanTable table;
  std::vector<std::vector<std::uint32_t>> members(core.subtrees() + 1);
  std::vector<FaintSpan> faint(reference + 1);
  for (std::uint32_t k = 0; k < engine.spreads.size(); ++k) {
    const SpanChange& change = engine.spreads[k].change;
    table.near.push_back(change);
    if (is_faint(change, reference)) {
      add_faint(far_dipole(core, {change.a, change.b}), change, faint);
      continue;
    }
    const std::uint32_t subtree = std::min(core.subtree[change.a], core.subtree[change.b]);
    members[std::min<std::size_t>(subtree, core.subtrees())].push_back(k);
  }
  for (const auto& subtree : members) {
    for (FarSpans* spans : {&table.light, &table.heavy})
      spans->first.push_back(static_cast<std::uint32_t>(spans->at.size()));
    for (const std::uint32_t k : subtree) {
      const SpanChange& change = engine.spreads[k].change;
      add_far(far_dipole(core, {change.a, change.b}), change, table);
    }
  }
  for (FarSpans* spans : {&table.light, &table.heavy})
    spans->first.push_back(static_cast<std::uint32_t>(spans->at.size()));
  for (const Position k : core.positions) {
    if (faint[k].rise > 0.0 || faint[k].fall > 0.0) table.faint.push_back({k, faint[k].rise, faint[k].fall});
  }
  return table;
}

}  // namespace loomgraft::readings
