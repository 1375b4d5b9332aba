#include "donor/rank.h"

#include <algorithm>
#include <numeric>

#include "donor/bound.h"

namespace loomgraft {

using namespace donor;
namespace {

constexpr double rounding = 1e-9;  // sums of points in another order may differ by this much

bool is_better(const RankedDonor& a, const RankedDonor& b) {
  return a.cost != b.cost ? a.cost < b.cost : a.donor < b.donor;
}

class Ranking {
 public:
  Ranking(const Module& found, const Graft& graft, KeyTable& keys, const DonorLibrary& library,
          const RankOptions& options)
      : library_(library),
        options_(options),
        functions_(keys.functions()),
        supply_(graft.vehicle.supply),
        found_pins_(found.pins),
        found_(keys.key_of(found, graft.connectors)) {
    contention_.supply = supply_;
    for (const ModuleTags& tags : library.tags()) {
      Module donor;
      donor.tags = tags;
      tags_.push_back(compare_tags(found, donor, graft.vehicle, graft.shared_circuits));
    }
  }

  RankReport run() {
    RankReport report;
    report.considered = library_.size();
    std::vector<std::size_t> order(library_.size());
    std::iota(order.begin(), order.end(), std::size_t{0});
    std::vector<double> bounds;
    if (!options_.in_full) {
      bounds = all_bounds();
      if (options_.stop.stop_requested()) return stopped();
      std::stable_sort(order.begin(), order.end(),
                       [&](std::size_t a, std::size_t b) { return bounds[a] < bounds[b]; });
    }
    for (const std::size_t donor : order) {
      if (options_.stop.stop_requested()) return stopped();
      const bool full = report.donors.size() >= options_.best;
      if (!bounds.empty() && full && bounds[donor] > report.donors.back().cost + rounding) break;
      ++report.compared_in_full;
      insert(report.donors, compared(donor));
    }
    return report;
  }

 private:
  static RankReport stopped() {
    RankReport report;
    report.stopped = true;
    return report;
  }

  double tag_cost(std::size_t donor) const { return cost_of(tags_[library_.tags_of(donor)], options_.costs); }

  std::vector<double> all_bounds() {
    DonorBound bound(found_, functions_, options_.match, options_.costs, supply_);
    std::vector<double> bounds;
    bounds.reserve(library_.size());
    for (std::size_t donor = 0; donor < library_.size() && !options_.stop.stop_requested(); ++donor) {
      bounds.push_back(bound_of(donor, bound) + tag_cost(donor));
    }
    return bounds;
  }

  double bound_of(std::size_t donor, DonorBound& bound) const {
    // A person may pair what similarity would not, and a pin may withstand more than its class: the bound
    // does not cover such costs.
    if (!library_.answers(donor).empty() || library_.full_pins(donor)) return 0.0;
    return bound.of(library_.pins(donor), map_plugs(found_, library_.view(donor)));
  }

  RankedDonor compared(std::size_t donor) const {
    const ModuleView key = library_.view(donor);
    const Matching matching = match(found_, key, functions_, options_.match, library_.answers(donor));
    const std::vector<Pin>* pins = library_.full_pins(donor);
    const auto grade = [&](std::size_t f, std::size_t d, Circuits circuits) {
      if (pins) return contend(found_pins_[f], (*pins)[d], contention_, circuits).grade;
      const PinClass a = found_.pins[f].pin_class;
      const PinClass b = key.pins[d].pin_class;
      const bool compatible = a == b || a == PinClass::unknown || b == PinClass::unknown;
      if (circuits == Circuits::one && compatible) return Grade::harmless;
      return class_grade(found_.pins[f].pin_class, key.pins[d].pin_class, supply_);
    };
    const GradeOf grade_of = [&](std::size_t f, std::size_t d, Circuits circuits) {
      const Grade found = grade(f, d, circuits);
      return MeetingGrades{found, found};
    };
    RankedDonor ranked;
    ranked.donor = donor;
    for (const Decision& decision : decide(found_, key, matching, functions_, options_.match, grade_of)) {
      const PinKey* pin = decision.donor < 0 ? nullptr : &key.pins[static_cast<std::size_t>(decision.donor)];
      ranked.cost += cost_of(decision, pin, options_.costs);
      count(decision, ranked);
    }
    ranked.tag_cost = tag_cost(donor);
    ranked.cost += ranked.tag_cost;
    return ranked;
  }

  static void count(const Decision& decision, RankedDonor& ranked) {
    ranked.summary.count(decision.verdict);
    if (decision.grade == Grade::fire) ++ranked.fire;
    if (decision.grade == Grade::injury) ++ranked.injury;
    if (decision.grade == Grade::damage) ++ranked.damage;
    if (decision.grade == Grade::false_signal) ++ranked.false_signal;
  }

  void insert(std::vector<RankedDonor>& best, RankedDonor&& donor) const {
    if (options_.best == 0 || (best.size() >= options_.best && !is_better(donor, best.back()))) return;
    donor.id = library_.id(donor.donor);
    donor.name = library_.name(donor.donor);
    donor.tags = tags_[library_.tags_of(donor.donor)];
    best.insert(std::upper_bound(best.begin(), best.end(), donor, is_better), std::move(donor));
    if (best.size() > options_.best) best.pop_back();
  }

  const DonorLibrary& library_;
  const RankOptions& options_;
  const FunctionTable& functions_;
  Volts supply_;
  ContentionOptions contention_;
  const std::vector<Pin>& found_pins_;
  ModuleKey found_;
  std::vector<std::vector<TagFinding>> tags_;  // by position in the library's list of tags
};

}  // namespace

RankReport rank(const Module& found, const Graft& graft, KeyTable& keys, const DonorLibrary& library,
                const RankOptions& options) {
  return Ranking(found, graft, keys, library, options).run();
}

}  // namespace loomgraft
