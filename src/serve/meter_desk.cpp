#include "serve/meter_desk.h"

#include "base/decimal.h"
#include "http/refusal.h"

namespace loomgraft {
namespace {

using Json = nlohmann::ordered_json;
using Clock = std::chrono::steady_clock;
constexpr std::chrono::milliseconds between_values{200};

// Five digits, as a good meter shows.
double as_shown(double amount) {
  return read_decimal(print_scientific(amount, 4)).value_or(amount);
}

Json or_null(const std::optional<double>& amount) {
  return amount ? Json(as_shown(*amount)) : Json(nullptr);
}

// Whether anything but the newest value differs.
bool more_than_value_differs(Json a, Json b) {
  a.erase("value");
  b.erase("value");
  return a != b;
}

}  // namespace

MeterDesk::MeterDesk(const std::optional<MeterAddress>& address, const MeterTiming& timing, Publish publish)
    : publish_(std::move(publish)) {
  if (!address) return;
  session_ =
      std::make_unique<MeterSession>(*address, timing, [this](const MeterStatus&) { publish_change(); });
  session_->start();
}

Json MeterDesk::state_of(const MeterStatus& status) const {
  const std::lock_guard<std::mutex> lock(mutex_);
  const bool measuring = step_ && status.order == order_;
  const auto& value = status.steady ? status.steady : status.shown;
  const bool has_value = measuring && value.has_value();
  std::optional<double> amount;
  if (has_value && !value->over_range) amount = value->amount;
  return Json{{"attached", attached()},
              {"state", attached() ? name_of(status.state) : "none"},
              {"text", status.text},
              {"identity", status.identity},
              {"unit", measuring && status.function ? unit_of(*status.function) : ""},
              {"value", or_null(amount)},
              {"over_range", has_value && value->over_range},
              {"steady", measuring && status.steady.has_value()},
              {"in_air", has_value && status.in_air},
              {"fresh", measuring && status.touch > touch_before_},
              {"leads_ohm", or_null(status.leads_ohm)},
              {"graft", step_ ? step_->graft : ""},
              {"test", step_ ? step_->test : ""},
              {"page", step_ ? step_->page : ""}};
}

Json MeterDesk::state() const {
  return state_of(session_ ? session_->status() : MeterStatus{});
}

void MeterDesk::publish_change() {
  const std::lock_guard<std::mutex> lock(publish_mutex_);
  Json now = state();
  const auto time = Clock::now();
  const bool differs = more_than_value_differs(now, published_);
  if (!differs && (now == published_ || time - published_at_ < between_values)) return;
  published_ = std::move(now);
  published_at_ = time;
  publish_(text_of(published_));
}

void MeterDesk::measure(const MeterStep& step, const MeterOrder& order) {
  if (!session_) return;
  {
    const std::lock_guard<std::mutex> lock(mutex_);
    step_ = step;
    order_ = session_->order(order);
    touch_before_ = session_->status().touch;
  }
  publish_change();
}

void MeterDesk::rest(const std::string& page) {
  if (!session_) return;
  {
    const std::lock_guard<std::mutex> lock(mutex_);
    if (!step_ || (!page.empty() && step_->page != page)) return;
    step_.reset();
    // Volts: an ohmmeter must not meet a live circuit while nobody looks at it.
    order_ = session_->order({});
  }
  publish_change();
}

bool MeterDesk::zero_leads() {
  if (!session_ || !session_->zero_leads()) return false;
  {
    const std::lock_guard<std::mutex> lock(mutex_);
    touch_before_ = session_->status().touch;
  }
  publish_change();
  return true;
}

}  // namespace loomgraft
