// A meter on a line, talked to by a thread of its own, so that nobody waits for it.
//
// Model   the thread opens the line, talks (conversation.h) and opens it again after it was lost; until an order comes the
//         meter is at volts, for an ohmmeter must not meet a live circuit
// Needs   an address that was read
// Gives   the status at any time; every change of it to `changed`, on the session's thread
// Fails   states of the status, never otherwise
// Cost    ending it waits for a name server that is being asked; for nothing else
#pragma once

#include <functional>
#include <memory>

#include "instrument/meter.h"
#include "instrument/meter_address.h"

namespace loomgraft {

class MeterSession {
 public:
  using Changed = std::function<void(const MeterStatus&)>;
  MeterSession(MeterAddress address, const MeterTiming& timing, Changed changed);
  // Once, when whoever is told of changes is ready.
  void start();
  MeterSession(const MeterSession&) = delete;
  MeterSession& operator=(const MeterSession&) = delete;
  ~MeterSession();

  MeterStatus status() const;
  // Gives the number that the status of its values will have.
  std::uint64_t order(const MeterOrder& order);
  // Takes what the touching leads show off every value from now on. False where they show no steady small resistance.
  bool zero_leads();

 private:
  struct Talk;
  std::unique_ptr<Talk> talk_;
};

}  // namespace loomgraft
