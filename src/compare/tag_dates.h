// What years and market imply for on-board diagnostics.
//
// Gives   a duty with the rows of data/obd_dates.csv that decide it as text, with source and status
// Fails   never: an unreadable year or a market without dates gives ObdDuty::not_known
#pragma once

#include <optional>
#include <string>
#include <string_view>

namespace loomgraft::compare {

enum class DiagnosticsKind { unknown, none, obd_1, obd_2 };

// "OBD-II", "OBD2", "obd ii" and the European form "EOBD" are obd_2; "none" and "flash code" are none.
DiagnosticsKind read_diagnostics(std::string_view text);

struct YearRange {
  int first = 0;
  int last = 0;  // 9999 where the range is open
  bool operator==(const YearRange&) const = default;
};

// "1998-2001", "MY1998", "98-01", "1998/99", "2003-", "05/1998 to 07/2001".
std::optional<YearRange> read_years(std::string_view text);

enum class ObdDuty { not_known, not_expected, possible, required_by_fuel, required };

struct ObdImplied {
  ObdDuty duty = ObdDuty::not_known;
  std::string reason;  // the deciding rows as text
  std::string source;  // "document (looked up)"
};

ObdImplied implied_by(std::string_view market, std::string_view years);

}  // namespace loomgraft::compare
