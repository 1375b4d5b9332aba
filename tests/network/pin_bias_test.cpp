#include <gtest/gtest.h>

#include "network/pin_bias_internal.h"

namespace loomgraft::network_pin_bias_test {
namespace {

using network::pin_bias;
using network::PinBias;
using network::Pull;

TEST(PinBias, ReadsDirectionVoltsAndOhms) {
  const struct {
    const char* text;
    Pull pull;
    double volts;  // zero: not stated
    double ohms;
  } rows[] = {
      {"", Pull::unstated, 0, 0},
      {"pull-up 5 V 1 kohm", Pull::up, 5, 1000},
      {"Pull-up to 5V, 4.7k", Pull::up, 5, 4700},
      {"pullup 12 V (2.2 k\xCE\xA9)", Pull::up, 12, 2200},
      {"pull down 10 kohm", Pull::down, 0, 10000},
      {"1 Mohm pulldown", Pull::down, 0, 1e6},
      {"5 V", Pull::unstated, 5, 0},
      {"15 V pull-up", Pull::up, 15, 0},
      {"330 ohm", Pull::unstated, 0, 330},
      {"none", Pull::none, 0, 0},
      {"no pull-up", Pull::none, 0, 0},
      {"external pull-up 5 V 1 kohm", Pull::none, 5, 1000},
      {"biased", Pull::unstated, 0, 0},
  };
  for (const auto& row : rows) {
    const PinBias bias = pin_bias(row.text);
    EXPECT_EQ(bias.pull, row.pull) << row.text;
    EXPECT_EQ(bias.supply.value_or(Volts{0.0}).si, row.volts) << row.text;
    EXPECT_EQ(bias.resistance.value_or(Ohms{0.0}).si, row.ohms) << row.text;
  }
}

}  // namespace
}  // namespace loomgraft::network_pin_bias_test
