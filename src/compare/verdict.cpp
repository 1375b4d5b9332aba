#include "compare/verdict.h"

#include <algorithm>
#include <map>

namespace loomgraft {
namespace {

constexpr double certain_enough = 0.5;      // a confidence below is "unsure"; common practice, no source
constexpr double rival_distance = 0.2;      // a rival this far behind does not lower the confidence
constexpr double unrelated_far_ends = 0.5;  // a bus name says little when its far ends have nothing in common
constexpr double likeness_worth_asking = 0.25;

using PlaceIndex = std::map<std::pair<std::uint16_t, std::uint32_t>, int>;

PlaceIndex index_donor(const ModuleView& donor, const PlugMap& plugs) {
  PlaceIndex index;
  for (std::size_t d = 0; d < donor.pins.size(); ++d) {
    const PinKey& pin = donor.pins[d];
    if (pin.connector >= plugs.found_of.size() || plugs.found_of[pin.connector] == no_plug) continue;
    index.emplace(std::pair{plugs.found_of[pin.connector], pin.cavity}, static_cast<int>(d));
  }
  return index;
}

// Buses are numbered as each maker likes: there the name alone proves nothing.
bool is_bus(const PinKey& pin) {
  return pin.pin_class == PinClass::can_high || pin.pin_class == PinClass::can_low ||
         pin.pin_class == PinClass::serial_line;
}

double confidence_of(const Match& match, const PinKey& found, const PinKey& donor,
                     const FunctionTable& functions) {
  double confidence = match.score;
  if (match.runner_up > 0) {
    const double distance = std::clamp((match.score - match.runner_up) / rival_distance, 0.0, 1.0);
    confidence *= 0.5 + 0.5 * distance;
  }
  const bool far_ends_known = found.far_end != 0 && donor.far_end != 0;
  if (is_bus(found) && far_ends_known && functions.similarity(found.far_end, donor.far_end) == 0.0) {
    confidence *= unrelated_far_ends;
  }
  return confidence;
}

class Judge {
 public:
  Judge(const ModuleView& found, const ModuleView& donor, const Matching& matching,
        const FunctionTable& functions, const MatchOptions& options, const GradeOf& grade_of)
      : found_(found),
        donor_(donor),
        matching_(matching),
        functions_(functions),
        options_(options),
        grade_of_(grade_of),
        places_(index_donor(donor, matching.plugs)),
        served_(donor.pins.size(), false) {}

  std::vector<Decision> decide() {
    for (std::size_t f = 0; f < found_.pins.size(); ++f) {
      if (found_.pins[f].function != 0) judge_found(f);
    }
    for (std::size_t d = 0; d < donor_.pins.size(); ++d) {
      if (donor_.pins[d].function == 0 || served_[d]) continue;
      Decision decision;
      decision.verdict = Verdict::add;
      decision.donor = static_cast<int>(d);
      decisions_.push_back(decision);
    }
    return std::move(decisions_);
  }

 private:
  void judge_found(std::size_t f) {
    const PinKey& pin = found_.pins[f];
    const Match& match = matching_.by_found[f];
    if (!pin.populated && match.donor < 0) return;  // no wire there, and nobody needs one
    Decision decision;
    decision.found = static_cast<int>(f);
    decision.donor = match.donor;
    const auto place = places_.find({pin.connector, pin.cavity});
    if (pin.populated && place != places_.end() &&
        donor_.pins[static_cast<std::size_t>(place->second)].function != 0) {
      decision.meets = place->second;
      decision.meant_for_each_other = match.donor == place->second;
      decision.grade = grade(f, place->second, decision.meant_for_each_other);
    }
    if (match.donor >= 0) {
      judge_matched(f, decision);
    } else {
      judge_alone(f, decision);
    }
    if (decision.donor >= 0) served_[static_cast<std::size_t>(decision.donor)] = true;
    decisions_.push_back(decision);
  }

  // Two pins taken for one circuit are at war only where their kinds are known and differ.
  Grade grade(std::size_t f, int donor, bool one_circuit) const {
    const auto d = static_cast<std::size_t>(donor);
    const PinClass a = found_.pins[f].pin_class;
    const PinClass b = donor_.pins[d].pin_class;
    const bool at_peace = one_circuit && (a == b || a == PinClass::unknown || b == PinClass::unknown);
    return at_peace ? Grade::harmless : grade_of_(f, d);
  }

  void judge_matched(std::size_t f, Decision& decision) {
    const Match& match = matching_.by_found[f];
    const PinKey& pin = found_.pins[f];
    const PinKey& partner = donor_.pins[static_cast<std::size_t>(match.donor)];
    decision.confidence = confidence_of(match, pin, partner, functions_);
    const bool here = same_place(pin, partner, matching_.plugs);
    if (!pin.populated) {
      decision.verdict = Verdict::add;
    } else if (match.score < options_.accept || decision.confidence < certain_enough) {
      decision.verdict = Verdict::unsure;
    } else if (grade(f, match.donor, true) >= Grade::damage) {
      decision.verdict = Verdict::clash;
    } else {
      decision.verdict = here ? Verdict::keep : Verdict::shift;
    }
  }

  void judge_alone(std::size_t f, Decision& decision) {
    decision.verdict = decision.grade >= Grade::false_signal ? Verdict::clash : Verdict::retire;
    if (decision.meets < 0) return;
    // The likest thing that nothing else claims sits in the same cavity: a person should say whether it is
    // the same.
    const auto d = static_cast<std::size_t>(decision.meets);
    const double likeness = functions_.similarity(found_.pins[f].function, donor_.pins[d].function);
    if (likeness < likeness_worth_asking || matching_.by_donor[d] >= 0 || served_[d]) return;
    decision.verdict = Verdict::unsure;
    decision.donor = decision.meets;
    decision.confidence = likeness;
  }

  ModuleView found_;
  ModuleView donor_;
  const Matching& matching_;
  const FunctionTable& functions_;
  const MatchOptions& options_;
  const GradeOf& grade_of_;
  PlaceIndex places_;
  std::vector<bool> served_;
  std::vector<Decision> decisions_;
};

}  // namespace

std::vector<Decision> decide(const ModuleView& found, const ModuleView& donor, const Matching& matching,
                             const FunctionTable& functions, const MatchOptions& options,
                             const GradeOf& grade_of) {
  return Judge(found, donor, matching, functions, options, grade_of).decide();
}

}  // namespace loomgraft
