#include "prove/meter.h"

#include <algorithm>
#include <cmath>

#include "prove/prove.h"
#include "standards/data_cell.h"
#include "standards/data_table.h"

namespace loomgraft {
namespace {

constexpr double percent = 0.01;

std::vector<MeterRange>& ranges_of(MeterSheet& meter, std::string_view quantity) {
  return quantity == "ohm" ? meter.ohms : quantity == "volt" ? meter.volts : meter.amperes;
}

MeterSheet& sheet_of(std::vector<MeterSheet>& sheets, const std::string& name, const std::string& words) {
  const auto found = std::ranges::find(sheets, name, &MeterSheet::name);
  if (found != sheets.end()) return *found;
  sheets.push_back({name, words, {}, {}, {}, 0.0, 0.0});
  return sheets.back();
}

std::vector<MeterSheet> load() {
  const DataTable table("meters.csv");
  std::vector<MeterSheet> sheets;
  double leads = 0.0;
  double noise = 0.0;
  for (std::size_t row = 0; row < table.rows(); ++row) {
    const auto text = [&](const char* column) { return table.at(row, table.column(column)); };
    const auto number = [&](const char* column) { return number_cell(text(column)); };
    if (text("quantity") == "leads") {
      leads = number("counts") * number("resolution");
      continue;
    }
    if (text("quantity") == "noise") {
      noise = number("counts") * number("resolution");
      continue;
    }
    MeterSheet& sheet = sheet_of(sheets, text("meter"), text("text"));
    ranges_of(sheet, text("quantity"))
        .push_back({number("range"), number("resolution"), number("reading_pct") * percent, number("counts"),
                    text("source")});
  }
  for (MeterSheet& sheet : sheets) {
    sheet.leads = leads;
    sheet.noise = noise;
  }
  return sheets;
}

const std::vector<MeterSheet>& sheets() {
  static const std::vector<MeterSheet> all = load();
  return all;
}

const std::vector<MeterRange>& ranges_of(const MeterSheet& meter, MeterQuantity quantity) {
  if (quantity == MeterQuantity::ohms) return meter.ohms;
  return quantity == MeterQuantity::amperes ? meter.amperes : meter.volts;
}

}  // namespace

const MeterSheet* meter_sheet(std::string_view name) {
  if (name.empty()) name = "handheld";
  const auto found = std::ranges::find(sheets(), name, &MeterSheet::name);
  return found == sheets().end() ? nullptr : &*found;
}

std::vector<std::string> meter_names() {
  std::vector<std::string> names;
  for (const MeterSheet& sheet : sheets()) names.push_back(sheet.name);
  return names;
}

const MeterRange& range_for(const MeterSheet& meter, MeterQuantity quantity, double reading) {
  const std::vector<MeterRange>& ranges = ranges_of(meter, quantity);
  const auto found =
      std::ranges::find_if(ranges, [&](const MeterRange& range) { return std::abs(reading) <= range.up_to; });
  return found == ranges.end() ? ranges.back() : *found;
}

double error_in(const MeterSheet& meter, MeterQuantity quantity, const MeterRange& range, double reading) {
  const double unsteady = quantity == MeterQuantity::ohms    ? meter.leads
                          : quantity == MeterQuantity::volts ? meter.noise
                                                             : 0.0;
  return range.share * std::abs(reading) + range.counts * range.count + unsteady;
}

double error_at(const MeterSheet& meter, MeterQuantity quantity, double reading) {
  return error_in(meter, quantity, range_for(meter, quantity, reading), reading);
}

double count_at(const MeterSheet& meter, MeterQuantity quantity, double reading) {
  return range_for(meter, quantity, reading).count;
}

double over_range_of(const MeterSheet& meter) {
  return std::min(over_range_ohms, meter.ohms.back().up_to);
}

}  // namespace loomgraft
