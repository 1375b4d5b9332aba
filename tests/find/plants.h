// A loom with a planted fault: what each test reads, a meter that is misread now and then, and two plain ways to look for the
// fault, to compare the search with.
#pragma once

#include <algorithm>
#include <cmath>
#include <memory>
#include <random>
#include <vector>

#include "find/practice.h"
#include "prove/prove.h"
#include "tests/find/walk.h"

namespace loomgraft::samples {

inline bool apart(const Band& a, const Band& b) {
  return a.low > b.high || b.low > a.high;
}

inline double drawn_between(std::mt19937_64& random, double low, double high) {
  return low + (high - low) * static_cast<double>(random() >> 11) * 0x1p-53;
}

// Resistances of a joint may lie anywhere over decades: by ratio or evenly.
enum class Drawn { evenly, by_ratio };

inline std::vector<double> drawn_readings(const Proof& proof, std::size_t planted, std::mt19937_64& random,
                                          Drawn joints = Drawn::by_ratio) {
  const bool joint = proof.report.faults[planted].kind == FaultKind::bad_joint && joints == Drawn::by_ratio;
  std::vector<double> values;
  for (std::size_t test = 0; test < proof.report.tests.size(); ++test) {
    Band shown = proof.readings.at(test, planted);
    const Band& healthy = proof.report.tests[test].band;
    // An interval much wider than the sound one is a range of faults; else the fault may leave the reading as it is.
    if (!std::isfinite(shown.low)) shown = healthy;
    if (!apart(shown, healthy) && shown.high - shown.low <= 3.0 * (healthy.high - healthy.low))
      shown = {std::max(shown.low, healthy.low), std::min(shown.high, healthy.high)};
    if (!std::isfinite(shown.low)) {
      values.push_back(std::min(proof.report.tests[test].nominal, over_range_reading));
    } else if (shown.high >= proof.report.over_range) {
      values.push_back(over_range_reading);
    } else if (joint && shown.low > 0.0) {
      values.push_back(std::exp(drawn_between(random, std::log(shown.low), std::log(shown.high))));
    } else {
      values.push_back(drawn_between(random, shown.low, shown.high));
    }
  }
  return values;
}

inline bool is_in_band(const Proof& proof, std::size_t test, double value) {
  const Band& band = proof.report.tests[test].band;
  return value >= band.low &&
         (value <= band.high || (value >= proof.report.over_range && band.high >= proof.report.over_range));
}

inline std::size_t draw_fault(const Proof& proof, std::mt19937_64& random) {
  double sum = 0.0;
  for (const Fault& fault : proof.report.faults) sum += fault.prior;
  double at = drawn_between(random, 0.0, sum);
  for (std::size_t k = 0; k < proof.report.faults.size(); ++k) {
    at -= proof.report.faults[k].prior;
    if (at < 0.0) return k;
  }
  return proof.report.faults.size() - 1;
}

// Some of those still suspected show what others cannot.
inline bool parts(const Proof& proof, const FindReport& report, std::size_t test) {
  std::vector<Band> shown;
  for (const Hypothesis& one : report.hypotheses) {
    if (one.faults.size() > 1) continue;
    shown.push_back(one.faults.empty() ? proof.report.tests[test].band
                                       : proof.readings.at(test, one.faults[0]));
  }
  for (const Band& band : shown) {
    if (apart(band, shown[0])) return true;
  }
  return false;
}

inline Choice in_list_order(const Proof& proof, std::size_t from) {
  auto step = std::make_shared<std::size_t>(from);
  return [&proof, step](const FindReport&, const std::vector<bool>&) -> std::optional<std::size_t> {
    if (*step >= proof.report.plan.size()) return std::nullopt;
    return proof.report.plan[(*step)++];
  };
}

// The middle one of the places that can still tell, in the state at hand where it has any.
inline Choice halving(const Proof& proof, std::size_t condition) {
  auto at = std::make_shared<std::size_t>(condition);
  return
      [&proof, at](const FindReport& report, const std::vector<bool>& taken) -> std::optional<std::size_t> {
        std::vector<std::size_t> here;
        std::vector<std::size_t> elsewhere;
        for (std::size_t test = 0; test < taken.size(); ++test) {
          if (taken[test] || !parts(proof, report, test)) continue;
          (proof.report.tests[test].condition == *at ? here : elsewhere).push_back(test);
        }
        if (here.empty() && elsewhere.empty()) return std::nullopt;
        const std::vector<std::size_t>& from = here.empty() ? elsewhere : here;
        const std::size_t chosen = from[from.size() / 2];
        *at = proof.report.tests[chosen].condition;
        return chosen;
      };
}

// A meter misread once in fifty: out of band where it is in, and the other way round. The second look is
// right.
inline Meter misread(const Proof& proof, const std::vector<double>& shown, std::uint64_t seed) {
  auto random = std::make_shared<std::mt19937_64>(seed);
  auto looked = std::make_shared<std::vector<bool>>(shown.size());
  return [&proof, &shown, random, looked](std::size_t test) {
    const bool first = !(*looked)[test];
    (*looked)[test] = true;
    if (!first || (*random)() % 50 != 0) return shown[test];
    const ProveTest& about = proof.report.tests[test];
    if (!is_in_band(proof, test, shown[test])) return std::min(about.nominal, over_range_reading);
    return about.unit == "ohm" && about.band.high < proof.report.over_range ? over_range_reading : 0.0;
  };
}

}  // namespace loomgraft::samples
