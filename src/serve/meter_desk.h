// The attached meter, and the step of a test plan that it is set for.
//
// Model   one page at a time has the meter for one step; whoever asks last gets it. Without a step the meter rests at volts
//         and its values are nobody's. `fresh`: the leads were put on since the step was opened, so that one touch never
//         answers two steps
// Gives   the state as JSON ("meter" of schema/answers.schema.json); each change of it to `publish`, values at most five
//         times a second
// Fails   never: what is wrong with the meter is a state
#pragma once

#include <chrono>
#include <functional>
#include <memory>
#include <mutex>
#include <nlohmann/json.hpp>
#include <optional>
#include <string>
#include <string_view>

#include "instrument/meter_session.h"

namespace loomgraft {

// The subject of the tick of a condition begins so.
inline constexpr std::string_view condition_tick = "state:";

struct MeterStep {
  std::string graft;
  std::string test;
  std::string page;  // which page of which device, as it calls itself
};

class MeterDesk {
 public:
  using Publish = std::function<void(const std::string& json)>;
  MeterDesk(const std::optional<MeterAddress>& address, const MeterTiming& timing, Publish publish);

  bool attached() const { return session_ != nullptr; }
  nlohmann::ordered_json state() const;
  void measure(const MeterStep& step, const MeterOrder& order);
  // Only if `page` has the meter; an empty one always.
  void rest(const std::string& page);
  // The touching leads become the zero of ohms, and this touch counts as used.
  bool zero_leads();

 private:
  void publish_change();
  nlohmann::ordered_json state_of(const MeterStatus& status) const;

  Publish publish_;
  mutable std::mutex mutex_;
  std::optional<MeterStep> step_;
  std::uint64_t order_ = 0;
  std::uint64_t touch_before_ = 0;  // when the step was opened
  std::mutex publish_mutex_;
  nlohmann::ordered_json published_ = nlohmann::ordered_json::object();
  std::chrono::steady_clock::time_point published_at_{};
  std::unique_ptr<MeterSession> session_;  // last: its thread uses all the others
};

}  // namespace loomgraft
