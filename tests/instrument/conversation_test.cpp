// What is said to a meter and what its answers mean: with a clock that the test sets.
#include "instrument/conversation.h"

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include <algorithm>
#include <regex>

#include "tests/instrument/simulated_meter.h"

namespace loomgraft::instrument_conversation_test {
namespace {

using namespace loomgraft::instrument;
using std::chrono::milliseconds;
constexpr auto ohms = MeterFunction::ohms;
constexpr auto volts = MeterFunction::volts;

// Both sides and the time, which goes on only here.
struct Bench {
  explicit Bench(bool serial = false) : talk(serial, MeterTiming{}) {
    talk.begin(now);
    carry();
  }

  // What was said goes over, and what the meter answers comes back, in pieces of that many bytes.
  void carry() {
    for (;;) {
      talk.tick(now);
      const std::string said = talk.take_output();
      if (said.empty()) return;
      if (echo) talk.receive(said, now);
      std::string answers;
      for (std::size_t from = 0; from < said.size();) {
        const std::size_t end = said.find('\n', from);
        answers += meter.answer(said.substr(from, end - from));
        from = end + 1;
      }
      if (hold_back) {
        held += answers;
        continue;
      }
      for (std::size_t at = 0; at < answers.size(); at += piece) talk.receive(answers.substr(at, piece), now);
    }
  }

  void pass(milliseconds time) {
    const MeterTime until = now + time;
    while (now < until) {
      now += milliseconds(50);
      carry();
    }
  }

  const MeterStatus& status() const { return talk.status(); }
  std::size_t times_heard(const std::string& command) const {
    const auto heard = meter.heard();
    return static_cast<std::size_t>(std::ranges::count(heard, command));
  }

  MeterTime now{};
  SimulatedMeter meter;
  std::size_t piece = 1000;
  bool echo = false;
  bool hold_back = false;
  std::string held;
  Conversation talk;
};

TEST(Conversation, IdentifiesConfiguresAndReads) {
  Bench bench;
  EXPECT_EQ(bench.status().identity, "EXAMPLE,BENCH 6,0042,1.0-2.0");
  EXPECT_EQ(bench.status().state, MeterState::ready);
  EXPECT_EQ(bench.status().function, volts) << "until an order comes";
  bench.meter.shows("+2.03000000E-01");
  const auto number = bench.talk.order({ohms, 0.8, 50e6});
  bench.pass(milliseconds(300));
  EXPECT_EQ(bench.status().order, number);
  EXPECT_EQ(bench.status().function, ohms);
  EXPECT_EQ(bench.times_heard("CONF:RES 0.8"), 1U);
  ASSERT_TRUE(bench.status().shown);
  EXPECT_DOUBLE_EQ(bench.status().shown->amount, 0.203);
  EXPECT_FALSE(bench.status().steady);
  bench.pass(milliseconds(1500));
  ASSERT_TRUE(bench.status().steady);
  EXPECT_DOUBLE_EQ(bench.status().steady->amount, 0.203);
}

TEST(Conversation, ASerialMeterIsMadeRemoteFirst) {
  const Bench bench(true);
  EXPECT_EQ(bench.meter.heard().front(), "SYST:REM");
}

// Everything that is ever sent stands in this list: nothing makes the meter a source.
TEST(Conversation, NothingElseIsEverSent) {
  Bench bench(true);
  const std::regex allowed(
      "SYST:REM|\\*IDN\\?|\\*CLS|SYST:ERR\\?|FUNC\\?|READ\\?|CONF:(RES|VOLT:DC|CURR:DC)( [0-9.e+]+)?");
  for (const MeterFunction function : {ohms, volts, MeterFunction::amperes}) {
    for (const std::optional<double> up_to : {std::optional<double>{}, std::optional<double>{0.8}}) {
      bench.talk.order({function, up_to, 50e6});
      bench.pass(milliseconds(1500));
    }
  }
  bench.meter.is_silent(true);
  bench.pass(milliseconds(20000));
  for (const std::string& command : bench.meter.heard())
    EXPECT_TRUE(std::regex_match(command, allowed)) << command;
}

TEST(Conversation, AnAnswerInPiecesIsOneAnswer) {
  Bench bench;
  bench.piece = 1;
  bench.meter.shows("+1.26000000E+01");
  bench.pass(milliseconds(1500));
  EXPECT_DOUBLE_EQ(bench.status().steady.value_or(MeterValue{}).amount, 12.6);
  EXPECT_EQ(bench.status().state, MeterState::ready);
}

TEST(Conversation, LineEndsOfEachKind) {
  for (const char* end : {"\r\n", "\r", " \n"}) {
    Bench bench;
    bench.meter.replies("READ?", std::string("+1.26000000E+01") + end);
    bench.pass(milliseconds(500));
    EXPECT_DOUBLE_EQ(bench.status().shown.value_or(MeterValue{}).amount, 12.6);
  }
}

TEST(Conversation, AnEchoIsNoAnswer) {
  Bench bench;
  bench.echo = true;
  bench.meter.shows("+1.26000000E+01");
  bench.pass(milliseconds(500));
  EXPECT_EQ(bench.status().state, MeterState::ready);
  EXPECT_DOUBLE_EQ(bench.status().shown.value_or(MeterValue{}).amount, 12.6);
}

TEST(Conversation, SilenceIsToldAndTheLineGivenUp) {
  Bench bench;
  bench.meter.is_silent(true);
  bench.pass(milliseconds(3500));
  EXPECT_EQ(bench.status().state, MeterState::no_answer);
  EXPECT_FALSE(bench.status().shown);
  EXPECT_FALSE(bench.talk.lost());
  bench.pass(milliseconds(15000));
  EXPECT_TRUE(bench.talk.lost());
}

TEST(Conversation, GarbageIsToldAndLaterForgotten) {
  Bench bench;
  bench.meter.replies("READ?", "\x01\x02rubbish\n");
  bench.pass(milliseconds(500));
  EXPECT_EQ(bench.status().state, MeterState::not_understood);
  EXPECT_EQ(bench.status().text, "..rubbish");
  EXPECT_FALSE(bench.status().shown);
  bench.meter.replies_truly("READ?");
  bench.meter.shows("5.00");
  bench.pass(milliseconds(1500));
  EXPECT_EQ(bench.status().state, MeterState::ready);
  EXPECT_DOUBLE_EQ(bench.status().shown.value_or(MeterValue{}).amount, 5.0);
}

TEST(Conversation, AHalfLineIsNoAnswer) {
  Bench bench;
  bench.meter.replies("READ?", "+1.2");
  bench.pass(milliseconds(3500));
  EXPECT_EQ(bench.status().state, MeterState::no_answer);
  EXPECT_FALSE(bench.status().shown);
}

TEST(Conversation, ALineWithoutEndIsGarbage) {
  Bench bench;
  bench.meter.replies("READ?", std::string(5000, '7'));
  bench.pass(milliseconds(500));
  EXPECT_EQ(bench.status().state, MeterState::not_understood);
}

TEST(Conversation, GarbageInsteadOfTheIdentity) {
  Bench bench;
  bench.meter.replies("*IDN?", "what?\n");
  bench.talk.begin(bench.now);
  bench.pass(milliseconds(3500));
  EXPECT_EQ(bench.status().state, MeterState::not_understood);
  EXPECT_EQ(bench.status().text, "what?");
}

// A value that comes late must not be taken for the answer to a later question, least of all in another unit.
TEST(Conversation, ALateAnswerIsDropped) {
  Bench bench;
  bench.meter.shows("12.6");
  bench.pass(milliseconds(300));
  bench.hold_back = true;
  bench.talk.tick(bench.now += milliseconds(100));
  bench.pass(milliseconds(200));
  ASSERT_EQ(bench.held, "12.6\n");
  bench.talk.order({ohms, std::nullopt, 50e6});
  bench.pass(milliseconds(3500));
  EXPECT_EQ(bench.status().state, MeterState::no_answer);
  bench.hold_back = false;
  bench.meter.shows("0.2");
  bench.talk.receive(bench.held, bench.now);
  EXPECT_FALSE(bench.status().shown);
  bench.pass(milliseconds(1000));
  ASSERT_TRUE(bench.status().shown);
  EXPECT_DOUBLE_EQ(bench.status().shown->amount, 0.2);
}

TEST(Conversation, AnAnswerToTheOrderBeforeIsDropped) {
  Bench bench;
  bench.meter.shows("12.6");
  bench.pass(milliseconds(300));
  bench.hold_back = true;
  bench.pass(milliseconds(200));
  ASSERT_EQ(bench.held, "12.6\n");
  bench.talk.order({volts, std::nullopt});
  bench.hold_back = false;
  bench.talk.receive(bench.held, bench.now);
  EXPECT_FALSE(bench.status().shown);
}

TEST(Conversation, AMeterThatTalksUnaskedIsNotUnderstood) {
  Bench bench;
  bench.pass(milliseconds(60));
  bench.talk.receive("7.0\n8.0\n", bench.now);
  EXPECT_EQ(bench.status().state, MeterState::not_understood);
}

TEST(Conversation, ARefusalIsTold) {
  Bench bench;
  bench.meter.replies("SYST:ERR?", "-113,\"Undefined header\"\n");
  bench.talk.order({ohms, std::nullopt});
  bench.pass(milliseconds(500));
  EXPECT_EQ(bench.status().state, MeterState::refused);
  EXPECT_EQ(bench.status().text, "-113 Undefined header");
  EXPECT_FALSE(bench.status().function);
  bench.meter.replies_truly("SYST:ERR?");
  bench.talk.order({volts, std::nullopt});
  bench.pass(milliseconds(500));
  EXPECT_EQ(bench.status().state, MeterState::ready);
}

TEST(Conversation, AMeterThatKeepsItsFunctionIsRefused) {
  Bench bench;
  bench.meter.replies("FUNC?", "\"VOLT\"\n");
  bench.meter.shows("0.2");
  bench.talk.order({ohms, std::nullopt});
  bench.pass(milliseconds(2500));
  EXPECT_EQ(bench.status().state, MeterState::refused);
  EXPECT_FALSE(bench.status().shown) << "volts are never taken for ohms";
}

TEST(Conversation, WithoutAnErrorQueueTheFunctionDecides) {
  Bench bench;
  bench.meter.replies("SYST:ERR?", "");
  bench.meter.shows("0.2");
  bench.talk.begin(bench.now);
  bench.talk.order({ohms, std::nullopt});
  bench.pass(milliseconds(6000));
  EXPECT_TRUE(bench.status().steady);
}

TEST(Conversation, WithNeitherNothingIsMeasured) {
  Bench bench;
  bench.meter.replies("SYST:ERR?", "");
  bench.meter.replies("FUNC?", "");
  bench.meter.shows("0.2");
  bench.talk.begin(bench.now);
  bench.talk.order({ohms, std::nullopt});
  bench.pass(milliseconds(12000));
  EXPECT_EQ(bench.status().state, MeterState::refused);
  EXPECT_FALSE(bench.status().shown);
}

// Somebody turns the meter to volts while ohms are measured.
TEST(Conversation, AValueIsSteadyOnlyInTheFunctionThatWasOrdered) {
  Bench bench;
  bench.talk.order({ohms, std::nullopt});
  bench.pass(milliseconds(500));
  bench.meter.shows("5.0");
  bench.meter.turned_to("VOLT");
  const auto told = bench.times_heard("CONF:RES");
  for (int i = 0; i < 25; ++i) {
    bench.pass(milliseconds(50));
    EXPECT_FALSE(bench.times_heard("CONF:RES") == told && bench.status().steady);
  }
  EXPECT_GT(bench.times_heard("CONF:RES"), told) << "it is told again";
}

// An overload of the range that the step asked for says only that the range is too small.
TEST(Conversation, ARangeThatOverloadsIsGivenUp) {
  Bench bench;
  bench.talk.order({ohms, 0.8, 50e6});
  bench.meter.shows("+9.90000000E+37");
  bench.pass(milliseconds(100));
  EXPECT_EQ(bench.times_heard("CONF:RES"), 1U);
  bench.meter.shows("5000");
  bench.pass(milliseconds(500));
  EXPECT_DOUBLE_EQ(bench.status().shown.value_or(MeterValue{}).amount, 5000);
  EXPECT_EQ(bench.times_heard("CONF:RES 0.8"), 1U);
  bench.meter.shows("+9.90000000E+37");
  bench.pass(milliseconds(2000));
  EXPECT_TRUE(bench.status().steady.value_or(MeterValue{}).over_range);
  EXPECT_TRUE(bench.status().in_air);
  bench.meter.shows("0.3");
  bench.pass(milliseconds(500));
  EXPECT_EQ(bench.times_heard("CONF:RES 0.8"), 2U);
  EXPECT_EQ(bench.status().touch, 2U);
}

TEST(Conversation, SomeHundredMegohmAreOverRange) {
  Bench bench;
  bench.talk.order({ohms, std::nullopt, 50e6});
  bench.meter.shows("+1.2E+08");
  bench.pass(milliseconds(300));
  EXPECT_TRUE(bench.status().shown.value_or(MeterValue{}).over_range);
}

TEST(Conversation, TheLeadsAreTakenOff) {
  Bench bench;
  bench.talk.order({ohms, std::nullopt, 50e6});
  bench.meter.shows("+9.9E37");
  bench.pass(milliseconds(1500));
  EXPECT_FALSE(bench.talk.zero_leads()) << "leads in the air";
  bench.meter.shows("0.31");
  bench.pass(milliseconds(300));
  EXPECT_FALSE(bench.talk.zero_leads()) << "not steady yet";
  bench.pass(milliseconds(1500));
  EXPECT_TRUE(bench.talk.zero_leads());
  EXPECT_NEAR(bench.status().leads_ohm.value_or(0), 0.31, 1e-9);
  bench.meter.shows("0.51");
  bench.pass(milliseconds(300));
  EXPECT_NEAR(bench.status().shown.value_or(MeterValue{}).amount, 0.20, 1e-9);
  bench.meter.shows("0.30");
  bench.pass(milliseconds(300));
  EXPECT_EQ(bench.status().shown.value_or(MeterValue{}).amount, 0.0);
  bench.meter.shows("0.05");
  bench.pass(milliseconds(300));
  EXPECT_FALSE(bench.status().leads_ohm) << "other leads";
}

TEST(Conversation, ALargeResistanceIsNoTouchOfLeads) {
  Bench bench;
  bench.talk.order({ohms, std::nullopt, 50e6});
  bench.meter.shows("3.0");
  bench.pass(milliseconds(2000));
  EXPECT_FALSE(bench.talk.zero_leads());
}

TEST(Conversation, OhmsBelowZeroAreAVoltage) {
  Bench bench;
  bench.talk.order({ohms, std::nullopt, 50e6});
  bench.meter.shows("-350");
  bench.pass(milliseconds(2000));
  EXPECT_EQ(bench.status().state, MeterState::not_understood);
  EXPECT_FALSE(bench.status().shown);
}

TEST(Conversation, AMeterWithoutANumberShowsNone) {
  Bench bench;
  bench.meter.shows("+9.91E37");
  bench.pass(milliseconds(1500));
  EXPECT_EQ(bench.status().state, MeterState::ready);
  EXPECT_FALSE(bench.status().shown);
}

RC_GTEST_PROP(Conversation, AnyBytesEndInAStatus, (const std::vector<std::string>& pieces)) {
  Bench bench;
  for (const std::string& piece : pieces) {
    bench.talk.receive(piece, bench.now);
    bench.pass(milliseconds(50));
  }
  bench.meter.shows("5.0");
  bench.pass(milliseconds(12000));
  RC_ASSERT(bench.status().state == MeterState::ready);
  RC_ASSERT(bench.status().steady.has_value());
}

}  // namespace
}  // namespace loomgraft::instrument_conversation_test
