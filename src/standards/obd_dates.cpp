#include "standards/obd_dates.h"

#include <charconv>
#include <string_view>
#include <vector>

#include "standards/data_table.h"

namespace loomgraft {
namespace {

ObdEvent event_of(std::string_view kind) {
  if (kind == "phase_in") return ObdEvent::phase_in;
  if (kind == "required") return ObdEvent::required;
  if (kind == "claimed") return ObdEvent::claimed;
  return kind == "bus" ? ObdEvent::bus : ObdEvent::other;
}

std::vector<ObdDate> load_obd_dates() {
  std::vector<ObdDate> dates;
  const DataTable table("obd_dates.csv");
  for (std::size_t row = 0; row < table.rows(); ++row) {
    const auto field = [&](std::string_view column) { return table.at(row, table.column(column)); };
    ObdDate date{field("region"),         field("vehicles"), field("scope") == "light",
                 event_of(field("kind")), field("event"),    0,
                 field("year"),           field("note"),     field("source"),
                 field("status")};
    std::from_chars(date.date.data(), date.date.data() + date.date.size(), date.year);
    dates.push_back(std::move(date));
  }
  return dates;
}

}  // namespace

std::span<const ObdDate> obd_dates() {
  static const std::vector<ObdDate> dates = load_obd_dates();
  return dates;
}

}  // namespace loomgraft
