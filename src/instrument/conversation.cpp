#include "instrument/conversation.h"

#include <algorithm>
#include <array>
#include <cmath>

#include "base/ascii.h"
#include "base/decimal.h"

namespace loomgraft::instrument {
namespace {

constexpr std::size_t longest_line = 4096;
constexpr std::size_t most_samples = 512;
constexpr int most_silences = 3;
constexpr int refused_retries = 5;  // a refusal is not asked again as soon as a lost answer

// Common practice, without a source: a pair of test leads has some tenths of an ohm. More than this is no touching of
// leads, and a value so far below that of the leads says that they are others now.
constexpr double most_lead_ohm = 2.0;
constexpr double lead_doubt_ohm = 0.2;
// A meter may show a little less than nothing. Clearly less is a voltage in the circuit.
constexpr double least_ohm = -1.0;

constexpr std::array<const char*, 3> configure_words = {"CONF:RES", "CONF:VOLT:DC", "CONF:CURR:DC"};

}  // namespace

std::string configure_command(MeterFunction function, std::optional<double> range) {
  const std::string word = configure_words[static_cast<std::size_t>(function)];
  return range ? word + " " + print_decimal(*range) : word;
}

MeterTime Conversation::wake() const {
  return question_ == Question::none ? next_ : deadline_;
}

std::string Conversation::take_output() {
  std::string bytes;
  bytes.swap(output_);
  return bytes;
}

void Conversation::say(const std::string& command) {
  output_ += command + "\n";
  said_.push_back(command);
}

void Conversation::ask(const std::string& command, Question question, MeterTime now) {
  say(command);
  question_ = question;
  asked_for_ = status_.order;
  deadline_ = now + timing_.answer;
}

void Conversation::begin(MeterTime now) {
  input_.clear();
  output_.clear();
  said_.clear();
  garbage_.clear();
  lost_ = false;
  silences_ = 0;
  wants_barrier_ = false;
  suspect_ = Question::none;
  has_queue_ = has_function_ = Known::unknown;
  stage_ = Stage::tell;
  if (serial_) say("SYST:REM");
  ask("*IDN?", Question::identity, now);
}

void Conversation::end(const std::string& why) {
  forget_values();
  status_.function.reset();
  question_ = Question::none;
  output_.clear();
  // What was wrong on the line says more than that it is opened anew.
  if (lost_) return;
  status_.state = MeterState::connecting;
  status_.text = why;
}

std::uint64_t Conversation::order(const MeterOrder& order) {
  if (order.function != order_.function) touches_.forget_value();
  if (order.function != order_.function || order.up_to != order_.up_to) {
    stage_ = Stage::tell;
    own_range_ = false;
    if (order.function != order_.function) status_.function.reset();
  }
  order_ = order;
  forget_values();
  if (status_.state == MeterState::refused) {
    status_.state = MeterState::ready;
    status_.text.clear();
  }
  // An order need not wait until a refused one would be tried again.
  if (question_ == Question::none && !status_.identity.empty()) next_ = {};
  return ++status_.order;
}

bool Conversation::zero_leads() {
  if (order_.function != MeterFunction::ohms || !status_.steady || status_.steady->over_range) return false;
  const double leads = status_.leads_ohm.value_or(0.0) + status_.steady->amount;
  if (leads > most_lead_ohm) return false;
  status_.leads_ohm = leads;
  forget_values();
  return true;
}

void Conversation::forget_values() {
  samples_.clear();
  confirmed_ = false;
  status_.shown.reset();
  status_.steady.reset();
  status_.in_air = false;
}

void Conversation::fail(MeterState state, const std::string& text, MeterTime next) {
  status_.state = state;
  status_.text = text;
  status_.function.reset();
  forget_values();
  question_ = Question::none;
  stage_ = Stage::tell;
  next_ = next;
}

void Conversation::tick(MeterTime now) {
  if (question_ != Question::none && now >= deadline_) time_out(now);
  proceed(now);
}

void Conversation::time_out(MeterTime now) {
  const bool identifying = question_ == Question::identity || question_ == Question::barrier;
  if (!identifying) {
    suspect_ = question_;
    fail(MeterState::no_answer, "", now);
    wants_barrier_ = true;
    return;
  }
  suspect_ = Question::none;
  fail(garbage_.empty() ? MeterState::no_answer : MeterState::not_understood, garbage_, now + timing_.retry);
  garbage_.clear();
  wants_barrier_ = true;
  if (++silences_ >= most_silences) lost_ = true;
}

void Conversation::raise_barrier(MeterTime now) {
  wants_barrier_ = false;
  input_.clear();
  said_.clear();
  ask("*IDN?", Question::barrier, now);
}

void Conversation::proceed(MeterTime now) {
  if (question_ != Question::none || lost_ || now < next_) return;
  if (wants_barrier_) return raise_barrier(now);
  if (status_.identity.empty()) return ask("*IDN?", Question::identity, now);
  if (stage_ != Stage::told) return configure(now);
  const bool to_confirm = !confirmed_ && has_function_ != Known::no &&
                          steady_value(samples_, order_.function, timing_.steady).has_value();
  if (to_confirm) return ask("FUNC?", Question::function, now);
  ask("READ?", Question::value, now);
}

void Conversation::configure(MeterTime now) {
  if (stage_ == Stage::tell) {
    said_.clear();
    queue_clear_ = false;
    say("*CLS");
    say(configure_command(order_.function, own_range_ ? std::nullopt : order_.up_to));
    stage_ = Stage::check_queue;
  }
  if (stage_ == Stage::check_queue && has_queue_ != Known::no) return ask("SYST:ERR?", Question::queue, now);
  stage_ = Stage::check_function;
  check_function(now);
}

void Conversation::check_function(MeterTime now) {
  if (has_function_ != Known::no) return ask("FUNC?", Question::function, now);
  if (!queue_clear_)
    return fail(MeterState::refused, "it does not say whether it changed its function",
                now + refused_retries * timing_.retry);
  stage_ = Stage::told;
  status_.function = order_.function;
  ask("READ?", Question::value, now);
}

void Conversation::receive(std::string_view bytes, MeterTime now) {
  input_ += bytes;
  for (;;) {
    const std::size_t end = input_.find_first_of("\r\n");
    if (end == std::string::npos) break;
    const std::string line = input_.substr(0, end);
    input_.erase(0, end + 1);
    if (!trimmed(line).empty()) take_line(std::string(trimmed(line)), now);
  }
  if (input_.size() > longest_line) {
    const std::string text = printable(input_);
    input_.clear();
    take_line(text, now);
  }
  proceed(now);
}

void Conversation::take_line(const std::string& line, MeterTime now) {
  const auto echo = std::ranges::find(said_, line);
  if (echo != said_.end()) {
    said_.erase(echo);
    return;
  }
  const Question question = question_;
  if (question == Question::identity || question == Question::barrier) return take_identity(line, now);
  question_ = Question::none;
  said_.clear();
  if (question == Question::none) {
    // The answer to an earlier question, or a meter that talks by itself: which, only a barrier can tell.
    if (!wants_barrier_) fail(MeterState::not_understood, "unasked: " + printable(line), now + timing_.retry);
    wants_barrier_ = true;
    return;
  }
  if (asked_for_ != status_.order) return;
  if (question == Question::queue) return take_queue_entry(line, now);
  if (question == Question::function) return take_function(line, now);
  take_value(line, now);
}

void Conversation::take_identity(const std::string& line, MeterTime now) {
  const auto identity = read_identity(line);
  if (!identity) {
    if (garbage_.empty()) garbage_ = printable(line);
    return;
  }
  if (*identity != status_.identity) {
    // Another meter: what was known of the one before does not hold.
    status_.leads_ohm.reset();
    has_queue_ = has_function_ = Known::unknown;
    suspect_ = Question::none;
  }
  if (suspect_ == Question::queue && has_queue_ == Known::unknown) has_queue_ = Known::no;
  if (suspect_ == Question::function && has_function_ == Known::unknown) has_function_ = Known::no;
  if (question_ == Question::identity) {
    status_.state = MeterState::ready;
    status_.text.clear();
  }
  suspect_ = Question::none;
  status_.identity = *identity;
  question_ = Question::none;
  said_.clear();
  garbage_.clear();
  silences_ = 0;
  stage_ = Stage::tell;
  next_ = now;
}

void Conversation::take_queue_entry(const std::string& line, MeterTime now) {
  const auto entry = read_queue_entry(line);
  if (!entry) {
    fail(MeterState::not_understood, printable(line), now + timing_.retry);
    wants_barrier_ = true;
    return;
  }
  has_queue_ = Known::yes;
  if (entry->number != 0)
    return fail(MeterState::refused, std::to_string(entry->number) + " " + entry->text,
                now + refused_retries * timing_.retry);
  queue_clear_ = true;
  stage_ = Stage::check_function;
}

void Conversation::take_function(const std::string& line, MeterTime now) {
  const auto named = read_function(line);
  if (!named) {
    fail(MeterState::not_understood, printable(line), now + timing_.retry);
    wants_barrier_ = true;
    return;
  }
  has_function_ = Known::yes;
  const bool is_ordered = named->function == order_.function;
  if (stage_ == Stage::told && !is_ordered) {
    // Somebody turned it at the meter.
    forget_values();
    status_.function.reset();
    stage_ = Stage::tell;
    return;
  }
  if (!is_ordered)
    return fail(MeterState::refused, "it stays at " + printable(line), now + refused_retries * timing_.retry);
  if (stage_ == Stage::check_function) {
    stage_ = Stage::told;
    status_.function = order_.function;
    return;
  }
  confirmed_ = true;
  status_.steady = steady_value(samples_, order_.function, timing_.steady);
  if (status_.steady) touches_.stood(*status_.steady);
}

void Conversation::take_value(const std::string& line, MeterTime now) {
  const Reply reply = read_value(line, order_.function);
  next_ = now + timing_.pause;
  if (reply.kind == ReplyKind::not_understood) {
    fail(MeterState::not_understood, reply.why, now + timing_.retry);
    wants_barrier_ = true;
    return;
  }
  status_.state = MeterState::ready;
  status_.text.clear();
  if (reply.kind == ReplyKind::no_number) return forget_values();
  if (reply.kind == ReplyKind::over_range) return take_overload(now);
  take_number(reply.amount, now);
}

void Conversation::take_number(double raw, MeterTime now) {
  if (order_.function == MeterFunction::ohms && raw < least_ohm) {
    fail(MeterState::not_understood, "ohms below zero: there may be power in the circuit",
         now + timing_.retry);
    return;
  }
  const double amount = without_leads(raw);
  if (own_range_ && order_.up_to && std::abs(amount) <= *order_.up_to) {
    own_range_ = false;
    stage_ = Stage::tell;
  }
  add_sample(amount >= order_.over_range ? MeterValue{0.0, true} : MeterValue{amount, false}, now);
}

void Conversation::take_overload(MeterTime now) {
  if (own_range_ || !order_.up_to) return add_sample({0.0, true}, now);
  own_range_ = true;
  stage_ = Stage::tell;
  next_ = now;
  forget_values();
}

double Conversation::without_leads(double raw) {
  if (order_.function != MeterFunction::ohms) return raw;
  const double leads = status_.leads_ohm.value_or(0.0);
  if (raw < leads - lead_doubt_ohm) status_.leads_ohm.reset();
  return std::max(0.0, raw - leads);
}

void Conversation::add_sample(MeterValue value, MeterTime now) {
  samples_.push_back({now, value});
  if (samples_.size() > most_samples) samples_.erase(samples_.begin(), samples_.end() - most_samples / 2);
  status_.shown = value;
  status_.in_air = looks_like_air(value, order_.function);
  touches_.sample(value, order_.function);
  status_.touch = touches_.count();
  const auto steady = steady_value(samples_, order_.function, timing_.steady);
  if (!steady) confirmed_ = false;
  // A meter that cannot name its function was at least told, and had no error.
  const bool counts = steady && (confirmed_ || has_function_ == Known::no);
  status_.steady = counts ? steady : std::nullopt;
  if (counts) touches_.stood(*steady);
}

}  // namespace loomgraft::instrument
