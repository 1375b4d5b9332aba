#include "compare/settle.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cctype>
#include <iterator>
#include <optional>

#include "compare/function_table.h"
#include "compare/settle_bands.h"
#include "standards/dictionary.h"
#include "units/print.h"

namespace loomgraft {

using namespace compare;
namespace {

// The claims of one electrical kind.
struct Group {
  PinClass pin_class = PinClass::unknown;
  std::vector<std::size_t> claims;
};

std::vector<Group> group_claims(const Pin& pin) {
  std::vector<Group> groups;
  for (std::size_t k = 0; k < pin.claims.size(); ++k) {
    const PinClass pin_class = pin.claims[k].pin_class;
    if (pin_class == PinClass::unknown) continue;
    const auto same = std::find_if(groups.begin(), groups.end(),
                                   [&](const Group& group) { return group.pin_class == pin_class; });
    if (same == groups.end()) {
      groups.push_back({pin_class, {k}});
    } else {
      same->claims.push_back(k);
    }
  }
  return groups;
}

std::string source_of(const Claim& claim) {
  if (!claim.place.empty()) return claim.source + (claim.source.empty() ? "" : ", ") + claim.place;
  if (claim.source.empty()) return claim.line > 0 ? fmt::format("line {}", claim.line) : "unnamed source";
  return claim.line > 0 ? fmt::format("{} line {}", claim.source, claim.line) : claim.source;
}

std::string sources_of(const Pin& pin, const std::vector<std::size_t>& claims) {
  std::string text;
  for (const std::size_t k : claims) text += (text.empty() ? "" : ", ") + source_of(pin.claims[k]);
  return text;
}

std::string colour_of(const Colour& colour) {
  if (!colour.known()) return colour.raw;
  return colour.tracer.empty() ? colour.base : colour.base + "/" + colour.tracer;
}

// Letters and digits in lower case: the same words in another spelling are no disagreement.
std::string plain(const std::string& signal) {
  std::string result;
  for (const char letter : signal) {
    const auto code = static_cast<unsigned char>(letter);
    if (std::isalnum(code)) result += static_cast<char>(std::tolower(code));
  }
  return result;
}

// Each different wording with its sources: "ECT (manual)", "IAT (chart)"; empty claims are left out.
template <class Wording>
std::vector<std::string> wordings(const Pin& pin, Wording wording) {
  std::vector<std::pair<std::string, std::string>> seen;  // key, text
  for (const Claim& claim : pin.claims) {
    const std::string text = wording(claim);
    const std::string key = plain(text);
    if (key.empty()) continue;
    const bool known =
        std::any_of(seen.begin(), seen.end(), [&](const auto& one) { return one.first == key; });
    if (!known) seen.emplace_back(key, fmt::format("{} ({})", text, source_of(claim)));
  }
  std::vector<std::string> result;
  result.reserve(seen.size());
  for (auto& [key, text] : seen) result.push_back(std::move(text));
  return result;
}

// Two names for one thing: of one kind in one cavity, and with nothing in their words that tells two circuits
// apart (another number, side or polarity), only names that share nothing are usefulness following a wire
// for.
bool is_rewording(const Pin& pin) {
  constexpr double shares_words = 0.25;  // common practice, no source
  const PinClass pin_class = pin.claims.front().pin_class;
  const bool interchangeable = pin_class == PinClass::supply_30 || pin_class == PinClass::supply_15 ||
                               pin_class == PinClass::power_earth || pin_class == PinClass::shield;
  if (interchangeable) return true;
  FunctionTable functions(term_dictionary());
  std::optional<FunctionId> first;
  for (const Claim& claim : pin.claims) {
    const FunctionId one = functions.add(claim.signal);
    if (one == 0) continue;
    if (!first) first = one;
    if (functions.similarity(*first, one) < shares_words) return false;
  }
  return true;
}

std::string joined(const std::vector<std::string>& parts, const char* between) {
  std::string text;
  for (const std::string& part : parts) text += (text.empty() ? "" : between) + part;
  return text;
}

// ---- one measurement ----

struct MeterSetup {
  const char* unplugged;
  const char* key;
  const char* red;  // {} is the cavity
  const char* black;
  const char* setting;
};

constexpr std::array<MeterSetup, meter_task_count> meter_setups{{
    {"every plug of the module", "off", "cavity {} of the loom's plug", "bare metal of the chassis", "V DC"},
    {"every plug of the module", "on, engine off", "cavity {} of the loom's plug",
     "bare metal of the chassis", "V DC"},
    {"nothing", "on, engine off", "the back of cavity {}, beside its wire", "bare metal of the chassis",
     "V DC"},
    {"every plug of the module, and the battery's negative lead", "off", "cavity {} of the loom's plug",
     "bare metal of the chassis", "Ω"},
    {"every plug of the module, and the battery's negative lead", "off", "cavity {} of the loom's plug",
     "the clamp on the battery's positive", "Ω"},
    {"every plug of the module", "off", "pin {} of the module itself",
     "the module's case or its power earth pin", "Ω"},
}};

std::string cavity_text(const Pin& pin) {
  if (pin.at.connector.empty()) return pin.at.cavity;
  return fmt::format("{}-{}", pin.at.connector, pin.at.cavity);
}

std::string reading_text(MeterTask task, double value, SystemVolts system) {
  if (!measures_ohms(task)) return print(Volts{value});
  return value >= contention_rule("meter_over_range", system) ? "OL" : print(Ohms{value});
}

// "10.2 Ω to 40.6 Ω or OL": intervals that touch are joined.
std::string bands_text(MeterTask task, std::vector<ReadingBand> readings, SystemVolts system) {
  std::sort(readings.begin(), readings.end(), [](const auto& a, const auto& b) { return a.low < b.low; });
  std::vector<ReadingBand> merged;
  for (const ReadingBand& band : readings) {
    if (!merged.empty() && band.low <= merged.back().high) {
      merged.back().high = std::max(merged.back().high, band.high);
    } else {
      merged.push_back(band);
    }
  }
  std::vector<std::string> parts;
  parts.reserve(merged.size());
  for (const ReadingBand& band : merged) {
    parts.push_back(
        fmt::format("{} to {}", reading_text(task, band.low, system), reading_text(task, band.high, system)));
  }
  return joined(parts, " or ");
}

// Smallest gap between any two readings of two claims, in units of the meter's accuracy; negative is overlap.
double gap_between(MeterTask task, const ClaimBand& one, const ClaimBand& other, SystemVolts system) {
  double smallest = 1e9;
  for (const ReadingBand& a : one.readings) {
    for (const ReadingBand& b : other.readings) {
      const double low = std::max(a.low, b.low);
      const double high = std::min(a.high, b.high);
      const double accuracy = meter_accuracy(task, low, system) + meter_accuracy(task, high, system);
      smallest = std::min(smallest, (low - high) / accuracy);
    }
  }
  return smallest;
}

// One measurement with the gap of each pair of groups.
struct Candidate {
  MeterTask task = MeterTask::loom_volts_key_off;
  SettleMeasurement measurement;
  std::vector<double> gaps;  // by pair, in the order of pairs_of()
};

std::vector<std::pair<std::size_t, std::size_t>> pairs_of(std::size_t count) {
  std::vector<std::pair<std::size_t, std::size_t>> pairs;
  for (std::size_t a = 0; a < count; ++a) {
    for (std::size_t b = a + 1; b < count; ++b) pairs.emplace_back(a, b);
  }
  return pairs;
}

ClaimBand band_of(MeterTask task, const Pin& pin, const Group& group, SystemVolts system) {
  ClaimBand band;
  band.pin_class = group.pin_class;
  band.claims = group.claims;
  band.text = fmt::format("{} ({})", pin_model(group.pin_class, PinSide::module, system).ratings.text,
                          sources_of(pin, group.claims));
  band.unit = measures_ohms(task) ? "ohm" : "V";
  band.readings = reading_bands(task, group.pin_class, system);
  band.shows = bands_text(task, band.readings, system);
  band.low = band.readings.front().low;
  band.high = band.readings.front().high;
  for (const ReadingBand& reading : band.readings) {
    band.low = std::min(band.low, reading.low);
    band.high = std::max(band.high, reading.high);
  }
  return band;
}

std::string measurement_text(const SettleMeasurement& measurement) {
  std::string text = measurement.instruction;
  for (const ClaimBand& band : measurement.bands) text += fmt::format(" {}: {}.", band.text, band.shows);
  if (!measurement.conclusive) text += " This reading alone does not settle it.";
  return text;
}

Candidate make_candidate(MeterTask task, const Pin& pin, const std::vector<Group>& groups,
                         SystemVolts system) {
  const MeterSetup& setup = meter_setups[static_cast<std::size_t>(task)];
  Candidate candidate;
  candidate.task = task;
  SettleMeasurement& measurement = candidate.measurement;
  measurement.unplugged = setup.unplugged;
  measurement.key = setup.key;
  measurement.red_lead = fmt::format(fmt::runtime(setup.red), cavity_text(pin));
  measurement.black_lead = setup.black;
  measurement.setting = setup.setting;
  measurement.instruction =
      fmt::format("Unplug {}. Key {}. Meter on {}: red lead on {}, black lead on {}.", measurement.unplugged,
                  measurement.key, measurement.setting, measurement.red_lead, measurement.black_lead);
  for (const Group& group : groups) measurement.bands.push_back(band_of(task, pin, group, system));
  for (const auto& [a, b] : pairs_of(groups.size())) {
    candidate.gaps.push_back(gap_between(task, measurement.bands[a], measurement.bands[b], system));
  }
  measurement.separation = *std::min_element(candidate.gaps.begin(), candidate.gaps.end());
  measurement.conclusive = measurement.separation > 0.0;
  measurement.text = measurement_text(measurement);
  return candidate;
}

// ---- choosing ----

// A gap of this many meter accuracies is clear; beyond it the easier measurement is preferred.
constexpr double clear_gap = 10.0;

// Number of open pairs that the candidate separates, then its smallest gap over the pairs it should separate.
std::pair<std::size_t, double> usefulness(const Candidate& candidate, const std::vector<bool>& open) {
  std::size_t apart = 0;
  double smallest = clear_gap;
  double smallest_open = clear_gap;
  for (std::size_t pair = 0; pair < open.size(); ++pair) {
    if (!open[pair]) continue;
    smallest_open = std::min(smallest_open, candidate.gaps[pair]);
    if (candidate.gaps[pair] <= 0.0) continue;
    ++apart;
    smallest = std::min(smallest, candidate.gaps[pair]);
  }
  return {apart, apart > 0 ? smallest : smallest_open};
}

// Greedy: best first, each further one chosen for the pairs that are still open. The first is kept even if it
// separates nothing: then it is the one with the smallest overlap.
std::vector<SettleMeasurement> choose(std::vector<Candidate> candidates, std::vector<bool>& open) {
  std::vector<SettleMeasurement> chosen;
  while (std::find(open.begin(), open.end(), true) != open.end()) {
    auto best = candidates.begin();
    for (auto one = candidates.begin(); one != candidates.end(); ++one) {
      if (usefulness(*one, open) > usefulness(*best, open)) best = one;
    }
    const bool useful = usefulness(*best, open).first > 0;
    if (!useful && !chosen.empty()) break;
    for (std::size_t pair = 0; pair < open.size(); ++pair) {
      if (best->gaps[pair] > 0.0) open[pair] = false;
    }
    chosen.push_back(std::move(best->measurement));
    candidates.erase(best);
    if (!useful || candidates.empty()) break;
  }
  return chosen;
}

void measure(SettleReport& report, const Pin& pin, const std::vector<Group>& groups, SystemVolts system) {
  std::vector<Candidate> candidates;
  candidates.reserve(meter_task_count);
  for (int task = 0; task < meter_task_count; ++task) {
    candidates.push_back(make_candidate(static_cast<MeterTask>(task), pin, groups, system));
  }
  const auto pairs = pairs_of(groups.size());
  std::vector<bool> open(pairs.size(), true);
  report.by = SettleBy::measurement;
  report.measurements = choose(std::move(candidates), open);
  report.settles = std::find(open.begin(), open.end(), true) == open.end();
  report.advice = report.measurements.front().text;
  const std::vector<ClaimBand>& bands = report.measurements.front().bands;
  for (std::size_t pair = 0; pair < pairs.size(); ++pair) {
    if (!open[pair]) continue;
    report.left_open.push_back(
        fmt::format("{} or {}: no reading at this pin tells them apart; follow the wire.",
                    bands[pairs[pair].first].text, bands[pairs[pair].second].text));
  }
}

void add_unknown(SettleReport& report, const Pin& pin) {
  for (const Claim& claim : pin.claims) {
    if (claim.pin_class != PinClass::unknown) continue;
    report.left_open.push_back(fmt::format("{} does not say what kind of pin it is.", source_of(claim)));
  }
}

}  // namespace

SettleReport settle(const Pin& pin, const SettleOptions& options) {
  SettleReport report;
  if (pin.forbidden) {
    report.by = SettleBy::refused;
    report.advice = "This belongs to a restraint or high-voltage circuit: it is not probed.";
    return report;
  }
  // What was seen or measured on the vehicle settles the claim, whatever the sources say.
  if (std::any_of(pin.claims.begin(), pin.claims.end(), [](const Claim& claim) { return claim.proved; })) {
    report.settles = true;
    report.advice = "It was seen or measured on the vehicle.";
    return report;
  }
  const std::vector<Group> groups = group_claims(pin);
  const auto signals = wordings(pin, [](const Claim& claim) { return claim.signal; });
  const auto colours = wordings(pin, [](const Claim& claim) { return colour_of(claim.colour); });
  if (groups.size() > 1) {
    measure(report, pin, groups, system_of(options.supply));
    add_unknown(report, pin);
    return report;
  }
  if (signals.size() > 1 && !is_rewording(pin)) {
    report.by = SettleBy::following;
    report.advice = fmt::format(
        "One electrical kind, different functions: {}. Follow the wire: with all plugs of the module off and "
        "the battery's negative lead off, continuity from cavity {} to the far end of each in turn; below "
        "about "
        "1 Ω is the one.",
        joined(signals, ", "), cavity_text(pin));
    add_unknown(report, pin);
    return report;
  }
  report.settles = true;
  if (colours.size() > 1) {
    report.by = SettleBy::look_at_wire;
    report.advice = fmt::format("Only the colour differs: {}. Look at the wire in cavity {}.",
                                joined(colours, ", "), cavity_text(pin));
  }
  return report;
}

const char* name_of(SettleBy by) {
  constexpr const char* names[] = {"nothing", "look_at_wire", "measurement", "following", "refused"};
  return names[static_cast<int>(by)];
}

}  // namespace loomgraft
