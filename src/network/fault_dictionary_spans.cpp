#include <algorithm>

#include "network/fault_dictionary.h"
#include "network/meter_reading_internal.h"

namespace loomgraft {

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
