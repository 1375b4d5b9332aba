// A meter on a real line: a socket, and a pseudo-terminal in place of a serial line.
#include <gtest/gtest.h>
#include <pty.h>
#include <unistd.h>

#include <atomic>
#include <cmath>
#include <condition_variable>
#include <memory>
#include <thread>

#include "instrument/meter_session.h"
#include "tests/instrument/socket_meter.h"

namespace loomgraft::instrument_session_test {
namespace {

using std::chrono::milliseconds;
constexpr auto ohms = MeterFunction::ohms;

class TerminalMeter {
 public:
  TerminalMeter() {
    char name[256];
    EXPECT_EQ(::openpty(&master_, &slave_, name, nullptr, nullptr), 0);
    name_ = name;
    thread_ = std::thread([this] { answer_on(meter, master_, ending_); });
  }
  ~TerminalMeter() {
    ending_ = true;
    thread_.join();
    if (master_ >= 0) ::close(master_);
    ::close(slave_);
  }
  TerminalMeter(const TerminalMeter&) = delete;
  TerminalMeter& operator=(const TerminalMeter&) = delete;

  std::string address() const { return "serial:" + name_ + ":115200"; }
  SimulatedMeter meter;

 private:
  int master_ = -1;
  int slave_ = -1;  // held open, or the master would see a hang-up before the session opens it
  std::string name_;
  std::atomic<bool> ending_{false};
  std::thread thread_;
};

// The session's own timing, fifty times faster.
constexpr MeterTiming fast{milliseconds(200), milliseconds(2), milliseconds(20), milliseconds(40)};

// A session whose changes can be waited for.
class Watched {
 public:
  explicit Watched(const std::string& address)
      : session_(*read_meter_address(address), fast, [this](const MeterStatus& status) {
          {
            const std::lock_guard<std::mutex> lock(mutex_);
            status_ = status;
          }
          changed_.notify_all();
        }) {
    session_.start();
  }

  template <class Condition>
  bool until(Condition condition) {
    std::unique_lock<std::mutex> lock(mutex_);
    return changed_.wait_for(lock, std::chrono::seconds(20), [&] { return condition(status_); });
  }
  bool until_steady(std::uint64_t order, double amount) {
    return until([&](const MeterStatus& status) {
      return status.order == order && status.steady && !status.steady->over_range &&
             std::abs(status.steady->amount - amount) < 1e-6;
    });
  }
  MeterSession& session() { return session_; }

 private:
  std::mutex mutex_;
  std::condition_variable changed_;
  MeterStatus status_;
  MeterSession session_;
};

template <class Line>
class MeterOnLine : public testing::Test {
 protected:
  Line line_;
};
using Lines = testing::Types<SocketMeter, TerminalMeter>;
TYPED_TEST_SUITE(MeterOnLine, Lines);

TYPED_TEST(MeterOnLine, IsIdentifiedAndRead) {
  this->line_.meter.shows("+2.50000000E-01");
  Watched watched(this->line_.address());
  EXPECT_TRUE(
      watched.until([](const MeterStatus& status) { return status.identity.starts_with("EXAMPLE"); }));
  const auto order = watched.session().order({ohms, 0.8, 50e6});
  EXPECT_TRUE(watched.until_steady(order, 0.25));
}

TYPED_TEST(MeterOnLine, SilenceAndGarbageEndWhenItAnswersAgain) {
  this->line_.meter.shows("5.0");
  Watched watched(this->line_.address());
  ASSERT_TRUE(watched.until_steady(0, 5.0));
  this->line_.meter.is_silent(true);
  EXPECT_TRUE(watched.until([](const MeterStatus& status) { return status.state == MeterState::no_answer; }));
  this->line_.meter.is_silent(false);
  this->line_.meter.replies("READ?", "\xff\xfe?!\n");
  EXPECT_TRUE(
      watched.until([](const MeterStatus& status) { return status.state == MeterState::not_understood; }));
  this->line_.meter.replies_truly("READ?");
  EXPECT_TRUE(watched.until_steady(0, 5.0));
}

TYPED_TEST(MeterOnLine, TwoNumbersAndCarriageReturns) {
  this->line_.meter.replies("READ?", "3.0000E-1 OHM,1.2500E+1 V\r\n");
  Watched watched(this->line_.address());
  EXPECT_TRUE(watched.until_steady(0, 12.5));
  EXPECT_TRUE(watched.until_steady(watched.session().order({ohms, std::nullopt, 50e6}), 0.3));
}

TEST(MeterOnSocket, ADroppedConnectionIsOpenedAgainAndTheOrderStands) {
  SocketMeter line;
  line.meter.shows("0.25");
  Watched watched(line.address());
  const auto order = watched.session().order({ohms, std::nullopt, 50e6});
  ASSERT_TRUE(watched.until_steady(order, 0.25));
  for (int count = 1; count <= 3; ++count) {
    line.drop();
    EXPECT_TRUE(watched.until([&](const MeterStatus& status) { return !status.steady; }));
    EXPECT_TRUE(watched.until_steady(order, 0.25));
  }
  EXPECT_GE(line.connections(), 4);
}

TEST(MeterOnSocket, NothingListens) {
  std::string address;
  {
    const SocketMeter gone;
    address = gone.address();
  }
  Watched watched(address);
  EXPECT_TRUE(watched.until([](const MeterStatus& status) {
    return status.state == MeterState::connecting && !status.text.empty();
  }));
}

TEST(MeterOnTerminal, WhatIsNoSerialLineIsNotWrittenTo) {
  Watched watched("serial:/dev/null");
  EXPECT_TRUE(
      watched.until([](const MeterStatus& status) { return status.text == "this is no serial line"; }));
}

TEST(MeterOnTerminal, AnAdapterThatIsPulledOutIsALostLine) {
  auto line = std::make_unique<TerminalMeter>();
  line->meter.shows("5.0");
  Watched watched(line->address());
  ASSERT_TRUE(watched.until_steady(0, 5.0));
  line.reset();
  EXPECT_TRUE(watched.until([](const MeterStatus& status) {
    return status.state == MeterState::connecting && !status.text.empty() && !status.shown;
  }));
}

}  // namespace
}  // namespace loomgraft::instrument_session_test
