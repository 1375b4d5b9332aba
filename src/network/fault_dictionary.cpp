#include "network/fault_dictionary.h"

#include <algorithm>
#include <cmath>

#include "network/meter_reading_internal.h"

namespace loomgraft {

tl::expected<DictionaryCount, Problem> fault_dictionary(const LoomNetwork& network,
                                                        std::span<const DictionaryTest> tests,
                                                        std::span<const NetworkChange> changes,
                                                        const TakeReadings& take) {
  DictionaryCount count;
  Solver solver;
  std::vector<LoomNetwork> under_changes;
  for (const NetworkChange& change : changes) under_changes.push_back(changed(network, change));
  std::vector<double> readings(changes.size());
  for (std::size_t test = 0; test < tests.size(); ++test) {
    const auto healthy = reading_in_full(network, tests[test], solver);
    if (!healthy) return tl::unexpected(healthy.error());
    for (std::size_t k = 0; k < changes.size(); ++k) {
      const auto reading = reading_in_full(under_changes[k], tests[test], solver);
      readings[k] = reading ? *reading : std::nan("");
      ++count.in_full;
    }
    take(test, *healthy, readings);
  }
  return count;
}

tl::expected<std::vector<ReadingSpan>, Problem> reading_spans(const LoomNetwork& nominal,
                                                              const LoomNetwork& low, const LoomNetwork& high,
                                                              std::span<const DictionaryTest> tests) {
  std::vector<ReadingSpan> spans;
  Solver solver;
  for (const DictionaryTest& test : tests) {
    ReadingSpan span;
    const auto middle = reading_in_full(nominal, test, solver);
    if (!middle) return tl::unexpected(middle.error());
    span.nominal = span.low = span.high = *middle;
    for (const LoomNetwork* corner : {&low, &high}) {
      const auto reading = reading_in_full(*corner, test, solver);
      if (!reading) return tl::unexpected(reading.error());
      span.low = std::min(span.low, *reading);
      span.high = std::max(span.high, *reading);
    }
    spans.push_back(span);
  }
  return spans;
}

}  // namespace loomgraft
