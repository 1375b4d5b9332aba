#include "prove/reading_row.h"

#include <gtest/gtest.h>

#include <random>

namespace loomgraft::reading_row_test {
namespace {

TEST(ReadingRow, GivesBackExactlyWhatWasPutIn) {
  std::mt19937 random(1);
  for (const unsigned kinds : {1U, 40U, 5000U}) {
    std::vector<Band> bands;
    ReadingRow row;
    for (int k = 0; k < 4000; ++k) {
      const double low = 0.001 * static_cast<double>(random() % kinds);
      bands.push_back({low, low + 0.5});
      row.push_back(bands.back());
    }
    row.shrink_to_fit();
    ASSERT_EQ(row.size(), bands.size());
    for (std::size_t k = 0; k < bands.size(); ++k) {
      ASSERT_EQ(row.at(k).low, bands[k].low) << kinds;
      ASSERT_EQ(row.at(k).high, bands[k].high) << kinds;
    }
  }
}

}  // namespace
}  // namespace loomgraft::reading_row_test
