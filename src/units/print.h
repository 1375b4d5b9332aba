// Quantities as people read them: three significant digits, an engineering prefix, the unit's letter.
//
// Gives   "12 V", "1.2 A", "85 mA", "4.7 kΩ", "0.008 Ω", "0.75 mm²"; the same text on every machine and in
//         every locale. Resistances below one ohm stay in Ω, for mΩ and MΩ are too easily confused;
//         lengths below a millimetre stay in mm
// Fails   never; infinity and not-a-number print as "unlimited" and "unknown"
#pragma once

#include <string>
#include <string_view>

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

// The sign of a unit that JSON and data files write in ASCII: "ohm" -> "Ω", "mm2" -> "mm²", "C" -> "°C"; any
// other unit as it is.
std::string_view unit_sign(std::string_view unit);

}  // namespace loomgraft
