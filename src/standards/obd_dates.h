// Dates from which on-board diagnostics were required, by region (data/obd_dates.csv).
#pragma once

#include <span>
#include <string>

namespace loomgraft {

struct ObdDate {
  std::string region;    // "US federal", "California", "EU"
  std::string vehicles;  // which of them, in words
  std::string event;     // what begins
  int year = 0;          // model year or calendar year
  std::string date;      // as the source gives it: a year or a day
  std::string note;
  std::string source;
  std::string status;
};

std::span<const ObdDate> obd_dates();

}  // namespace loomgraft
