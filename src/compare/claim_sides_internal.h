// What every source claims of a pin, as contention looks at it. Only compare/ includes this file.
//
// Model   a pin has one side for each distinct claim: function and class. A claim without a class has that of
//         another claim of the same function; one whose class only its name suggests yields to another that
//         states the class of the pin it is made for. Feeds, earths and screens of one class are one function. One that was proved on the vehicle stands alone. Where a wire is
//         known in the document, the devices at its other end are words of the circuit too.
// Gives   the worst that a wire and a pin can do to each other, over every claim of one with every claim of the
//         other; the same in any order of the sources
#pragma once

#include <map>
#include <tuple>
#include <vector>

#include "compare/pin_key.h"
#include "contention/contention.h"
#include "loom/graft.h"

namespace loomgraft::compare {

// The module with a circuit in each pin that some source gives one, where the source that counts gives none.
Module with_some_claim(const Module& module);

// The pin as each source has it that words it otherwise; none where one was proved on the vehicle.
std::vector<Pin> disagreeing_claims(const Pin& pin);

class ClaimSides {
 public:
  // `keys` must have made the keys of both modules.
  ClaimSides(const Graft& graft, const Module& found, const Module& donor, KeyTable& keys,
             const ContentionOptions& options);

  // `circuits` is what the matching says of the two pins. Where claims name different functions each pair of
  // claims tells that by itself, unless a person decided.
  // What the claims that count do to each other.
  Grade chosen(std::size_t found, std::size_t donor, Circuits circuits) const;
  const Contention& worst(std::size_t found, std::size_t donor, Circuits circuits, bool decided) const;

 private:
  struct Claimed {
    MeetingSide side;
    FunctionId function = 0;
    bool class_by_name = false;  // the class is the one that the name alone suggests
  };
  using Claims = std::vector<Claimed>;

  Contention solved(std::size_t found, std::size_t donor, Circuits circuits, bool decided) const;
  Claims claims_of(const Pin& pin, bool loom) const;
  bool disagree(const Claims& found, const Claims& donor) const;
  bool one_function(const Claimed& a, const Claimed& b) const;
  bool yields(const Claimed& claim, const Claims& others, PinClass to) const;

  KeyTable& keys_;
  ContentionOptions options_;
  std::vector<Claims> found_, donor_;
  mutable std::map<std::tuple<std::size_t, std::size_t, Circuits, bool>, Contention>
      worst_;  // answered so far
};

}  // namespace loomgraft::compare
