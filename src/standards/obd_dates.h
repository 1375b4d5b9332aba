// Dates from which on-board diagnostics were required, by region (data/obd_dates.csv).
#pragma once

#include <span>
#include <string>

namespace loomgraft {

enum class ObdEvent {
  other,
  phase_in,  // some vehicles have it from here on; for the EU, newly approved types
  required,  // all vehicles of the row have it from here on
  claimed,   // a source that others contradict or do not support; shown, never decided by
  bus,       // which data bus the socket must carry
};

struct ObdDate {
  std::string region;    // "US federal", "California", "US" (both), "EU"
  std::string vehicles;  // which of them, in words
  bool light = false;    // cars and light vans; false is heavier vehicles
  ObdEvent kind = ObdEvent::other;
  std::string event;  // what begins, as the source says
  int year = 0;       // model year or calendar year
  std::string date;   // as the source gives it: a year or a day
  std::string note;
  std::string source;
  std::string status;
};

std::span<const ObdDate> obd_dates();

}  // namespace loomgraft
