#include "compare/verdict.h"

#include <algorithm>
#include <map>

namespace loomgraft {
namespace {

constexpr double certain_enough = 0.5;  // a confidence below it is "unsure"; common practice, no source
constexpr double rival_distance = 0.2;  // a second-best match this far behind does not lower the confidence
constexpr double unrelated_far_ends =
    0.5;  // a bus name proves little when its far ends have nothing in common
constexpr double similarity_worth_asking = 0.25;

using CavityIndex = std::map<std::pair<std::uint16_t, std::uint32_t>, int>;

CavityIndex index_donor(const ModuleView& donor, const PlugMap& plugs) {
  CavityIndex index;
  for (std::size_t d = 0; d < donor.pins.size(); ++d) {
    const PinKey& pin = donor.pins[d];
    if (pin.connector >= plugs.found_of.size() || plugs.found_of[pin.connector] == no_plug) continue;
    index.emplace(std::pair{plugs.found_of[pin.connector], pin.cavity}, static_cast<int>(d));
  }
  return index;
}

// Far ends that have nothing in common, or networks that are not surely one.
bool far_ends_differ(const PinKey& found, const PinKey& donor, const FunctionTable& functions) {
  const SameNetwork network = same_network(found, donor, functions);
  if (network != SameNetwork::unknown) return network != SameNetwork::yes;
  const bool comparable = found.far_end != 0 && donor.far_end != 0 && found.networked == donor.networked;
  return comparable && functions.similarity(found.far_end, donor.far_end) == 0.0;
}

double confidence_of(const Match& match, const PinKey& found, const PinKey& donor,
                     const FunctionTable& functions) {
  double confidence = match.score;
  if (match.runner_up > 0) {
    const double distance = std::clamp((match.score - match.runner_up) / rival_distance, 0.0, 1.0);
    confidence *= 0.5 + 0.5 * distance;
  }
  if (is_bus(found.pin_class) && far_ends_differ(found, donor, functions)) confidence *= unrelated_far_ends;
  return confidence;
}

class VerdictRules {
 public:
  VerdictRules(const ModuleView& found, const ModuleView& donor, const Matching& matching,
               const FunctionTable& functions, const MatchOptions& options, const GradeOf& grade_of)
      : found_(found),
        donor_(donor),
        matching_(matching),
        functions_(functions),
        options_(options),
        grade_of_(grade_of),
        donor_at_(index_donor(donor, matching.plugs)),
        served_(donor.pins.size(), false) {}

  std::vector<Decision> decide() {
    for (std::size_t f = 0; f < found_.pins.size(); ++f) {
      if (found_.pins[f].function != 0 || matching_.by_found[f].decided) decide_found(f);
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
  void decide_found(std::size_t f) {
    const PinKey& pin = found_.pins[f];
    const Match& match = matching_.by_found[f];
    if (!pin.populated && match.donor < 0) return;  // no wire there, and none is needed
    Decision decision;
    decision.found = static_cast<int>(f);
    decision.donor = match.donor;
    if (match.donor >= 0) decide_matched(f, decision);
    note_meeting(f, decision);
    if (match.donor < 0) decide_unmatched(f, decision);
    if (decision.donor >= 0) served_[static_cast<std::size_t>(decision.donor)] = true;
    decisions_.push_back(decision);
  }

  void note_meeting(std::size_t f, Decision& decision) const {
    const PinKey& pin = found_.pins[f];
    const auto place = donor_at_.find({pin.connector, pin.cavity});
    if (!pin.populated || place == donor_at_.end()) return;
    if (donor_.pins[static_cast<std::size_t>(place->second)].function == 0) return;
    decision.meets = place->second;
    const bool one = decision.donor == place->second && decision.verdict != Verdict::unsure;
    decision.meets_as = one ? Circuits::one : Circuits::two;
    decision.two_networks = two_networks(f, static_cast<std::size_t>(place->second), decision.meets_as);
    decision.grade = grades(f, place->second, decision.meets_as).worst;
  }

  // Two networks on one pair of wires disturb each other, unless a person stated that they are one.
  bool two_networks(std::size_t f, std::size_t d, Circuits circuits) const {
    const bool known = circuits == Circuits::one && matching_.by_found[f].decided;
    return !known && same_network(found_.pins[f], donor_.pins[d], functions_) == SameNetwork::no;
  }

  MeetingGrades grades(std::size_t f, int donor, Circuits circuits) const {
    const auto d = static_cast<std::size_t>(donor);
    const Grade least = two_networks(f, d, circuits) ? Grade::false_signal : Grade::harmless;
    const MeetingGrades grades = grade_of_(f, d, circuits);
    return {std::max(grades.worst, least), std::max(grades.chosen, least)};
  }

  void decide_matched(std::size_t f, Decision& decision) {
    const Match& match = matching_.by_found[f];
    const PinKey& pin = found_.pins[f];
    const PinKey& partner = donor_.pins[static_cast<std::size_t>(match.donor)];
    decision.decided = match.decided;
    decision.confidence = match.decided ? 1.0 : confidence_of(match, pin, partner, functions_);
    const bool here = same_cavity(pin, partner, matching_.plugs);
    if (!pin.populated) {
      decision.verdict = Verdict::add;
    } else if (match.score < options_.accept || decision.confidence < certain_enough) {
      decision.verdict = Verdict::unsure;
    } else if (grades(f, match.donor, Circuits::one).chosen >= Grade::damage) {
      decision.verdict = Verdict::clash;
    } else {
      decision.verdict = here ? Verdict::keep : Verdict::shift;
    }
  }

  void decide_unmatched(std::size_t f, Decision& decision) {
    decision.verdict = decision.grade >= Grade::false_signal ? Verdict::clash : Verdict::retire;
    if (decision.meets < 0) return;
    // A similar circuit in the same cavity has no other partner: a person has to say whether it is the same.
    const auto d = static_cast<std::size_t>(decision.meets);
    const double similarity =
        pair_similarity(found_.pins[f], donor_.pins[d], true,
                        functions_.similarity(found_.pins[f].function, donor_.pins[d].function), functions_);
    if (similarity < similarity_worth_asking || matching_.by_donor[d] >= 0 || served_[d]) return;
    if (std::ranges::find(matching_.apart, PinPair{f, d}) != matching_.apart.end()) return;
    decision.verdict = Verdict::unsure;
    decision.donor = decision.meets;
    decision.confidence = similarity;
  }

  ModuleView found_;
  ModuleView donor_;
  const Matching& matching_;
  const FunctionTable& functions_;
  const MatchOptions& options_;
  const GradeOf& grade_of_;
  CavityIndex donor_at_;
  std::vector<bool> served_;
  std::vector<Decision> decisions_;
};

}  // namespace

std::vector<Decision> decide(const ModuleView& found, const ModuleView& donor, const Matching& matching,
                             const FunctionTable& functions, const MatchOptions& options,
                             const GradeOf& grade_of) {
  return VerdictRules(found, donor, matching, functions, options, grade_of).decide();
}

}  // namespace loomgraft
