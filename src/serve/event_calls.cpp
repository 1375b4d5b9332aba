// The stream of events of a graft (HTML standard, section 9.2, server-sent events).
#include <chrono>

#include "serve/answers.h"
#include "serve/handlers.h"

namespace loomgraft::serve {
namespace {

using Clock = std::chrono::steady_clock;
constexpr std::chrono::seconds heartbeat{15};
constexpr std::chrono::milliseconds poll_time{1000};  // how soon a closed connection is noticed

std::string event_text(const Event& event) {
  std::string text;
  if (event.sequence > 0) text += "id: " + std::to_string(event.sequence) + "\n";
  return text + "event: " + event.name + "\ndata: " + event.data + "\n\n";
}

// One event stream. Events that the client missed are read from the file first; those written meanwhile are in
// the log as well and are sent once.
class EventStream {
 public:
  EventStream(Workbench& bench, OpenGraftPtr graft, std::int64_t last)
      : bench_(bench), graft_(std::move(graft)), position_(graft_->events.end()), last_(last) {}
  EventStream(const EventStream&) = delete;
  EventStream& operator=(const EventStream&) = delete;
  ~EventStream() { bench_.leave_stream(); }

  bool next(const Answer::Send& send) {
    if (!begun_) return begin(send);
    const EventLog::Batch batch = graft_->events.after(position_, poll_time);
    std::string text;
    for (const Event& event : batch.events) append(text, event);
    if (text.empty() && Clock::now() - sent_at_ >= heartbeat) text = ": still here\n\n";
    if (!send_text(send, text)) return false;
    // A client that fell behind connects again with its last id and gets the rest from the file.
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
    return send_text(send, text);
  }

  void append(std::string& text, const Event& event) {
    if (event.sequence > 0 && event.sequence <= last_) return;
    if (event.sequence > 0) last_ = event.sequence;
    text += event_text(event);
  }

  bool send_text(const Answer::Send& send, const std::string& text) {
    if (!text.empty()) sent_at_ = Clock::now();
    return send(text);
  }

  Workbench& bench_;
  OpenGraftPtr graft_;
  std::uint64_t position_;
  std::int64_t last_;  // sequence of the last event sent; -1: no earlier events are wanted
  bool begun_ = false;
  Clock::time_point sent_at_ = Clock::now();
};

std::int64_t last_event_id(const Call& call) {
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
    return refuse(503, "too-many-listeners", "Too many event streams are open.",
                  "Close some pages; this one tries again by itself.");
  const auto stream = std::make_shared<EventStream>(bench, *graft, last_event_id(call));
  Answer answer;
  answer.type = "text/event-stream";
  answer.stream = [stream](const Answer::Send& send) { return stream->next(send); };
  return answer;
}

}  // namespace loomgraft::serve
