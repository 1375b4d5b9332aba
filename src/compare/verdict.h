// What happens to each circuit, decided from the matching and from what every cavity's two sides would do to
// each other.
//
// Model   keep: same function, same cavity. shift: same function, other cavity. add: the donor needs it, the
//         loom lacks it. retire: the loom has it, the donor does not. clash: a live circuit would meet
//         another function, or its own function driven the other way or beyond a limit. unsure: the sources or the similarity
//         do not carry a decision.
// Gives   one decision for each circuit: found pins in order, then donor pins that nothing serves
// Cost    linear in the number of pins
#pragma once

#include <functional>
#include <vector>

#include "compare/match.h"
#include "contention/contention.h"

namespace loomgraft {

enum class Verdict { keep, shift, add, retire, clash, unsure };

constexpr const char* name_of(Verdict verdict) {
  constexpr const char* names[] = {"keep", "shift", "add", "retire", "clash", "unsure"};
  return names[static_cast<int>(verdict)];
}

struct Summary {
  int keep = 0, shift = 0, add = 0, retire = 0, clash = 0, unsure = 0;

  void count(Verdict verdict) {
    int* const counters[] = {&keep, &shift, &add, &retire, &clash, &unsure};
    ++*counters[static_cast<int>(verdict)];
  }
};

struct Decision {
  Verdict verdict = Verdict::keep;
  int found = -1;  // position in the found pins, -1 for none
  int donor = -1;
  double confidence = 1.0;  // 0 to 1
  // The donor pin that the wire would meet if the donor were plugged in with nothing moved, -1 for none; and
  // how bad.
  int meets = -1;
  Grade grade = Grade::harmless;
  // Whether wire and pin there are one circuit for sure; two where the match is unsure.
  Circuits meets_as = Circuits::two;
  bool two_networks = false;  // wire and pin there are buses of two networks
  bool decided = false;       // a person stated that the two are one circuit
};

// How bad it is when a wire meets a pin: over everything that any source claims, and by the claims that count.
// Verdicts follow the latter; where sources disagree a person is asked.
struct MeetingGrades {
  Grade worst = Grade::harmless;
  Grade chosen = Grade::harmless;
};

// For a found and a donor pin, both given by position, as one circuit or as two.
using GradeOf = std::function<MeetingGrades(std::size_t found, std::size_t donor, Circuits circuits)>;

std::vector<Decision> decide(const ModuleView& found, const ModuleView& donor, const Matching& matching,
                             const FunctionTable& functions, const MatchOptions& options,
                             const GradeOf& grade_of);

}  // namespace loomgraft
