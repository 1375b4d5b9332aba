// The stream of events of a graft (HTML standard, section 9.2, server-sent events).
#include <chrono>

#include "serve/answers.h"
#include "serve/handlers.h"

namespace loomgraft::serve {
namespace {

using Clock = std::chrono::steady_clock;
constexpr std::chrono::seconds heartbeat{15};
constexpr std::chrono::milliseconds slice{1000};  // how soon a listener that hung up is noticed

std::string event_text(const Event& event) {
  std::string text;
  if (event.sequence > 0) text += "id: " + std::to_string(event.sequence) + "\n";
  return text + "event: " + event.name + "\ndata: " + event.data + "\n\n";
}

// One listener. What it missed comes out of the file first; what was written meanwhile then stands in the log
// as well and is told once.
class Listening {
 public:
  Listening(Workbench& bench, OpenGraftPtr graft, std::int64_t last)
      : bench_(bench), graft_(std::move(graft)), place_(graft_->events.end()), last_(last) {}
  Listening(const Listening&) = delete;
  Listening& operator=(const Listening&) = delete;
  ~Listening() { bench_.leave_stream(); }

  bool go_on(const Answer::Send& send) {
    if (!begun_) return begin(send);
    const EventLog::Batch batch = graft_->events.after(place_, slice);
    std::string text;
    for (const Event& event : batch.events) append(text, event);
    if (text.empty() && Clock::now() - told_ >= heartbeat) text = ": still here\n\n";
    if (!tell(send, text)) return false;
    // Who fell behind comes back with the last id, and is told the rest out of the file.
    return !batch.closed && !batch.missed;
  }

 private:
  bool begin(const Answer::Send& send) {
    begun_ = true;
    std::string text = "retry: 1000\n: listening\n\n";
    while (last_ >= 0) {
      const auto missed = events_since(graft_->reader, last_);
      if (!missed || missed->empty()) break;
      for (const Event& event : *missed) append(text, event);
    }
    return tell(send, text);
  }

  void append(std::string& text, const Event& event) {
    if (event.sequence > 0 && event.sequence <= last_) return;
    if (event.sequence > 0) last_ = event.sequence;
    text += event_text(event);
  }

  bool tell(const Answer::Send& send, const std::string& text) {
    if (!text.empty()) told_ = Clock::now();
    return send(text);
  }

  Workbench& bench_;
  OpenGraftPtr graft_;
  std::uint64_t place_;
  std::int64_t last_;  // sequence of the last event told; -1: nothing is to be told again
  bool begun_ = false;
  Clock::time_point told_ = Clock::now();
};

std::int64_t last_heard(const Call& call) {
  std::string text(field(call, "Last-Event-ID"));
  if (text.empty()) text = query_value(call, "last");
  if (text.empty() || text.size() > 15 || text.find_first_not_of("0123456789") != std::string::npos)
    return -1;
  return std::stoll(text);
}

}  // namespace

Answer get_events(Workbench& bench, const Call& call) {
  const auto graft = bench.grafts().open(query_value(call, "graft"));
  if (!graft) return refuse(graft.error());
  if (!bench.enter_stream())
    return refuse(503, "too-many-listeners", "Too many pages are listening already.",
                  "Close some of them; the page tries again by itself.");
  const auto listening = std::make_shared<Listening>(bench, *graft, last_heard(call));
  Answer answer;
  answer.type = "text/event-stream";
  answer.stream = [listening](const Answer::Send& send) { return listening->go_on(send); };
  return answer;
}

}  // namespace loomgraft::serve
