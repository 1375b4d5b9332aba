// A reading as a person writes it: "0.3 Ohm", "0,3Ω", "1k2", "350m", "12V4", "OL".
//
// Model   a number with a decimal point or comma, or with a letter in its place ("4R7", "1k2", "12V4"), then a
//         prefix (k, M, m, µ) and the unit or its name, each of which may be left out. "OL", "O.L", "over" and
//         the like are over range, for ohms. The page reads in the same way: web/src/model/reading.ts, and
//         tests/data/readings.csv tests both
// Needs   the unit of the test: "ohm", "V" or "A"
// Gives   the value in that unit; over range as over_range_reading
// Fails   unreadable: no number, or "1,234", which may be 1.234 or 1234; wrong_unit: the unit of another
//         quantity; impossible: beyond data/reading_limits.csv or the clamp of the meter
#pragma once

#include <string>
#include <string_view>
#include <tl/expected.hpp>

namespace loomgraft {

enum class ReadingError { unreadable, wrong_unit, impossible };
const char* name_of(ReadingError error);

// `meter`: of data/meters.csv, empty for the handheld one.
tl::expected<double, ReadingError> entered_reading(std::string_view text, std::string_view unit,
                                                   std::string_view meter = {});

}  // namespace loomgraft
