// Quantities as people read them: three significant digits, an engineering prefix, the unit's letter.
//
// Gives   "12 V", "1.2 A", "85 mA", "4.7 kohm", "0.75 mm2"; the same text on every machine and in every
//         locale
// Fails   never; infinity and not-a-number print as "unlimited" and "unknown"
#pragma once

#include <string>

#include "units/quantity.h"

namespace loomgraft {

std::string print(Amperes value);
std::string print(Volts value);
std::string print(Ohms value);
std::string print(Watts value);
std::string print(Joules value);
std::string print(Seconds value);
std::string print(Metres value);
std::string print(SquareMetres value);
std::string print(Celsius value);

}  // namespace loomgraft
