// One line of a meter's answer, read strictly: what is not surely a number is none.
//
// Model   numbers as IEEE 488.2 writes them (NR1, NR2, NR3), with or without a unit behind; above 1E36 in amount it is no
//         number but the sign of an overload, 9.91E37 that there is no number (SCPI-99, volume 1). Words for an
//         overload ("OL", "OVLD") are taken as well. Of two numbers the one counts whose unit fits; without units the
//         first one in ohms, and none in volts and amperes, for it may be the ohms of a meter that shows both
// Gives   amounts in ohms, volts, amperes
// Fails   ReplyKind::not_understood with the reason; never a guess
#pragma once

#include <optional>
#include <string>
#include <string_view>

#include "instrument/meter.h"

namespace loomgraft::instrument {

enum class ReplyKind { number, over_range, no_number, not_understood };

struct Reply {
  ReplyKind kind = ReplyKind::not_understood;
  double amount = 0.0;
  std::string why;  // of not_understood
};
Reply read_value(std::string_view line, MeterFunction function);

// "MAKER,MODEL,SERIAL,FIRMWARE", as text that can be shown; nothing where the line is no identity.
std::optional<std::string> read_identity(std::string_view line);

// The number and text of an entry of the error queue: `-113,"Undefined header"`.
struct QueueEntry {
  long number = 0;
  std::string text;
};
std::optional<QueueEntry> read_queue_entry(std::string_view line);

// The function that `"VOLT:DC"`, `"RES"` and the like name; nothing where the line is neither a known name nor quoted.
struct NamedFunction {
  std::optional<MeterFunction> function;  // none: one that is never asked for, such as alternating volts
};
std::optional<NamedFunction> read_function(std::string_view line);

// The first characters of a line as they can be shown: what is not printable is a dot.
std::string printable(std::string_view line);

}  // namespace loomgraft::instrument
