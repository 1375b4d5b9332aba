// Words that name a circuit which only trained people touch, with the maker's procedure: airbags and belt tensioners,
// high voltage, and the loop that switches high voltage off (data/restraint_words.csv).
//
// Model   a word counts as the file says: as whole words, as the beginning of a word or within one ("Fahrerairbag"),
//         or as an abbreviation in capitals; accents and umlauts count as plain letters or as ae, oe, ue. A voltage
//         of 60 V or more counts. A word that also has a harmless meaning does not count beside a word of that meaning
// Gives   the first word that is met. No word is no proof: a circuit without one is not known to be harmless
// Cost    linear in the text
#pragma once

#include <optional>
#include <string>
#include <string_view>

#include "units/quantity.h"

namespace loomgraft {

enum class RestraintKind { restraint, high_voltage, interlock };
const char* name_of(RestraintKind kind);

struct RestraintWord {
  std::string word;  // as the file has it, or the voltage as the text has it
  RestraintKind kind = RestraintKind::restraint;
};

// `beside` is what else is said of the same part: a voltage there is an injector's, if so it says.
std::optional<RestraintWord> restraint_word(std::string_view text, std::string_view beside = {});

// From this size on a wire that is orange all over is presumed to carry high voltage.
SquareMetres orange_high_voltage_area();

}  // namespace loomgraft
