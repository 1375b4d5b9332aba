// What is said to a meter and what its answers mean, without a line and without a clock.
//
// Model   one question at a time. The meter is identified; for each order it is told function and range, and asked whether
//         it took them (its error queue, its function); then it is read over and over. After an answer that did not come
//         or was not understood it is asked for its identity, and everything before that answer is dropped: no answer is
//         ever taken for that to a later question. A value counts as steady only after the meter has confirmed its
//         function once more. If a range overloads, the meter chooses its own; only what that shows is over range
// Needs   begin() once a line is open; receive() and tick() with times that never go back
// Gives   bytes to send, the time to be called again, the status. Only these are ever sent: SYST:REM, *IDN?, *CLS, CONF:RES,
//         CONF:VOLT:DC and CONF:CURR:DC with a range, SYST:ERR?, FUNC?, READ?
// Fails   states of the status; `lost` where the line should be opened anew
#pragma once

#include <deque>
#include <string>
#include <string_view>
#include <vector>

#include "instrument/meter.h"
#include "instrument/reply.h"
#include "instrument/steady.h"

namespace loomgraft::instrument {

// The command that sets function and range.
std::string configure_command(MeterFunction function, std::optional<double> range);

class Conversation {
 public:
  Conversation(bool serial, const MeterTiming& timing) : serial_(serial), timing_(timing) {}

  void begin(MeterTime now);
  void receive(std::string_view bytes, MeterTime now);
  void tick(MeterTime now);
  // There is no line, and why.
  void end(const std::string& why);

  std::string take_output();
  MeterTime wake() const;
  bool lost() const { return lost_; }
  const MeterStatus& status() const { return status_; }

  // Gives the number of the order, which the status of its values will have.
  std::uint64_t order(const MeterOrder& order);
  // What the touching leads show from now on counts as nothing. False where they show no steady small resistance.
  bool zero_leads();

 private:
  // barrier: the identity once more, and everything before it is dropped.
  enum class Question { none, identity, barrier, queue, function, value };
  enum class Stage { tell, check_queue, check_function, told };
  enum class Known { unknown, yes, no };

  void say(const std::string& command);
  void ask(const std::string& command, Question question, MeterTime now);
  void proceed(MeterTime now);
  void configure(MeterTime now);
  void check_function(MeterTime now);
  void raise_barrier(MeterTime now);
  void time_out(MeterTime now);
  void fail(MeterState state, const std::string& text, MeterTime next);
  void take_line(const std::string& line, MeterTime now);
  void take_identity(const std::string& line, MeterTime now);
  void take_queue_entry(const std::string& line, MeterTime now);
  void take_function(const std::string& line, MeterTime now);
  void take_value(const std::string& line, MeterTime now);
  void take_number(double raw, MeterTime now);
  void take_overload(MeterTime now);
  double without_leads(double raw);
  void add_sample(MeterValue value, MeterTime now);
  void forget_values();

  bool serial_;
  MeterTiming timing_;
  MeterStatus status_;
  std::string output_;
  std::string input_;
  std::deque<std::string> said_;  // since the last answer: a line that repeats one of them is an echo
  Question question_ = Question::none;
  std::uint64_t asked_for_ = 0;        // the order that the question belongs to
  Question suspect_ = Question::none;  // it got no answer, which led to the barrier
  MeterTime deadline_{};
  MeterTime next_{};  // nothing is asked before
  int silences_ = 0;  // barriers without an answer
  bool wants_barrier_ = false;
  bool lost_ = false;
  std::string garbage_;  // what came instead of the identity

  MeterOrder order_;
  Stage stage_ = Stage::tell;
  bool own_range_ = false;    // the order's range overloads: the meter chooses
  bool queue_clear_ = false;  // the meter's queue had no error after it was told
  bool confirmed_ = false;    // its function, since the value stands still
  Known has_queue_ = Known::unknown;
  Known has_function_ = Known::unknown;
  std::vector<TimedValue> samples_;
  Touches touches_;
};

}  // namespace loomgraft::instrument
