// Which donor pin serves which circuit of the vehicle: by function, not by cavity.
//
// Model   a pair's score is the weighted similarity of function, electrical class, far end, colour and
//         cavity, over what is known on both sides. The assignment has the greatest total score; pairs below
//         `ask` are never made.
// Gives   for each found pin its donor pin, the score, and the best score it could have had with another
//         function; an answer of a person about a pair overrides all similarity
// Cost    one similarity for each pair; the assignment is solved one connected group of candidates at a time
// Method  docs/engine.md, "Matching"; assignment: compare/assignment.h
#pragma once

#include <vector>

#include "compare/pin_key.h"
#include "compare/plug_map.h"
#include "loom/circuit_answers.h"

namespace loomgraft {

struct MatchOptions {
  // Weights of what is compared; common practice, no source. Function decides, the rest tips the scale.
  double function = 0.66;
  double pin_class = 0.12;
  double far_end = 0.06;
  double colour = 0.04;
  double cavity = 0.12;
  double accept = 0.60;  // a pair at or above is taken
  double ask = 0.45;     // between ask and accept the pair is made, but a person is asked
};

struct Match {
  int donor = -1;  // position in the donor's pins, -1 for none
  double score = 0.0;
  double runner_up = 0.0;  // best score of another pair of either pin with a different function
  bool decided = false;    // decided by a person: the score is 1
};

struct Matching {
  std::vector<Match> by_found;  // one for each found pin
  std::vector<int> by_donor;    // found pin of each donor pin, -1 for none
  std::vector<PinPair> apart;   // declared different by a person
  PlugMap plugs;
};

// True where the two pins sit in the same cavity of plugs that take each other's place.
bool same_cavity(const PinKey& found, const PinKey& donor, const PlugMap& plugs);

// Feeds, earths and shields serve alike whatever they are called: in one place and of one kind they are taken
// for the same circuit even where their names share no word. Otherwise the similarity of the functions is
// returned as it is.
double similarity_in_cavity(const PinKey& found, const PinKey& donor, double function_similarity);

// Whether two buses are one network by their legends. Names with a word in common may be rewordings.
enum class SameNetwork { unknown, no, maybe, yes };
SameNetwork same_network(const PinKey& found, const PinKey& donor, const FunctionTable& functions);

// The similarity of the functions with what place and network add: a bus of another network is another
// circuit whatever its number, one of the same network is the same circuit whatever its number.
double pair_similarity(const PinKey& found, const PinKey& donor, bool same_cavity, double function_similarity,
                       const FunctionTable& functions);

double score(const PinKey& found, const PinKey& donor, bool same_cavity, double function_similarity,
             const FunctionTable& functions, const MatchOptions& options);

Matching match(const ModuleView& found, const ModuleView& donor, const FunctionTable& functions,
               const MatchOptions& options = {}, const PairAnswers& answers = {});

}  // namespace loomgraft
