#include "instrument/meter_session.h"

#include <atomic>
#include <mutex>
#include <thread>

#include "instrument/conversation.h"
#include "instrument/line.h"

namespace loomgraft {

using namespace instrument;

struct MeterSession::Talk {
  Talk(MeterAddress where, const MeterTiming& times, Changed told)
      : address(std::move(where)),
        timing(times),
        changed(std::move(told)),
        conversation(address.serial, times) {}

  template <class Work>
  auto with(Work work) {
    const std::lock_guard<std::mutex> lock(mutex);
    return work(conversation);
  }

  void run() {
    while (!ending) {
      auto line = open_line(address, waker, timing.answer);
      std::string why = line ? "the line was lost" : line.error();
      if (line) {
        with([](Conversation& talk) { talk.begin(MeterClock::now()); });
        talk_over(**line);
        line->reset();
      }
      with([&](Conversation& talk) { talk.end(why); });
      tell();
      if (!ending) waker.wait(timing.retry);
    }
  }

  // Until the line is lost or given up.
  void talk_over(const Line& line) {
    while (!ending) {
      const auto [output, wake, lost] = with([](Conversation& talk) {
        talk.tick(MeterClock::now());
        return std::tuple(talk.take_output(), talk.wake(), talk.lost());
      });
      tell();
      if (lost || !line.send(output)) return;
      const auto time = std::chrono::ceil<std::chrono::milliseconds>(wake - MeterClock::now());
      const auto bytes = line.receive(time);
      if (!bytes) return;
      with([&](Conversation& talk) { talk.receive(*bytes, MeterClock::now()); });
    }
  }

  void tell() {
    const MeterStatus now = with([](Conversation& talk) { return talk.status(); });
    if (now == told) return;
    told = now;
    changed(now);
  }

  MeterAddress address;
  MeterTiming timing;
  Changed changed;
  std::mutex mutex;
  Conversation conversation;
  MeterStatus told;
  Waker waker;
  std::atomic<bool> ending{false};
  std::thread thread;
};

MeterSession::MeterSession(MeterAddress address, const MeterTiming& timing, Changed changed)
    : talk_(std::make_unique<Talk>(std::move(address), timing, std::move(changed))) {}

void MeterSession::start() {
  talk_->thread = std::thread([talk = talk_.get()] { talk->run(); });
}

MeterSession::~MeterSession() {
  talk_->ending = true;
  talk_->waker.wake();
  if (talk_->thread.joinable()) talk_->thread.join();
}

MeterStatus MeterSession::status() const {
  return talk_->with([](Conversation& talk) { return talk.status(); });
}

std::uint64_t MeterSession::order(const MeterOrder& order) {
  const std::uint64_t number = talk_->with([&](Conversation& talk) { return talk.order(order); });
  talk_->waker.wake();
  return number;
}

bool MeterSession::zero_leads() {
  const bool done = talk_->with([](Conversation& talk) { return talk.zero_leads(); });
  talk_->waker.wake();
  return done;
}

}  // namespace loomgraft
