#include "http/listener.h"

#include <sys/eventfd.h>
#include <sys/socket.h>
#include <unistd.h>

#include <atomic>
#include <charconv>
#include <map>
#include <mutex>
#include <nlohmann/json.hpp>
#include <thread>

#include "http/head_poller.h"
#include "http/network_addresses.h"
#include "http/refusal.h"

namespace loomgraft {
namespace {

constexpr std::size_t requests_announced = 10000;
constexpr int backlog = 512;  // the library's 5 would drop connections of a page

// Counts and limits the connections of other devices. A slot is left when the last copy of it goes.
class ConnectionLimit : public std::enable_shared_from_this<ConnectionLimit> {
 public:
  ConnectionLimit(std::size_t each, std::size_t all) : each_(each), all_(all) {}

  using Slot = std::shared_ptr<void>;
  struct Entry {
    Slot slot;             // null: there is no room
    bool of_this = false;  // not for this address, though there is for others
  };
  Entry enter(const std::string& remote) {
    const std::lock_guard<std::mutex> lock(mutex_);
    const auto held = held_.find(remote);
    if (held != held_.end() && held->second >= each_) return {nullptr, true};
    if (count_ >= all_) return {nullptr, false};
    ++held_[remote];
    ++count_;
    return {Slot(this, [limit = shared_from_this(), remote](void*) { limit->leave(remote); }), false};
  }

 private:
  void leave(const std::string& remote) {
    const std::lock_guard<std::mutex> lock(mutex_);
    --count_;
    if (--held_[remote] == 0) held_.erase(remote);
  }

  std::mutex mutex_;
  std::map<std::string, std::size_t> held_;
  std::size_t count_ = 0;
  std::size_t each_;
  std::size_t all_;
};

// The library hands each accepted connection to a queue of tasks. Ours only passes it on to the poller.
struct AtOnce final : httplib::TaskQueue {
  void enqueue(std::function<void()> task) override { task(); }
  void shutdown() override {}
};

void read_query(std::string_view text, std::map<std::string, std::string>& query) {
  while (!text.empty()) {
    const std::size_t end = std::min(text.find('&'), text.size());
    const std::string_view pair = text.substr(0, end);
    const std::size_t equals = std::min(pair.find('='), pair.size());
    std::string name;
    std::string value;
    if (percent_decoded(pair.substr(0, equals), name, true) &&
        percent_decoded(pair.substr(std::min(equals + 1, pair.size())), value, true) && !name.empty())
      query.emplace(std::move(name), std::move(value));
    text.remove_prefix(std::min(end + 1, text.size()));
  }
}

Call call_of(const httplib::Request& request) {
  Call call;
  call.method = request.method == "HEAD" ? "GET" : request.method;
  const std::string_view target = request.target;
  const std::size_t mark = std::min(target.find('?'), target.size());
  call.path = target.substr(0, mark);
  read_query(target.substr(std::min(mark + 1, target.size())), call.query);
  for (const auto& [name, value] : request.headers) call.fields.emplace(name, value);
  call.remote = request.remote_addr;
  call.loopback = request.remote_addr == "127.0.0.1" || request.remote_addr == "::1";
  return call;
}

void write_answer(Answer answer, httplib::Response& response) {
  response.status = answer.status;
  for (const auto& [name, value] : answer.fields) response.set_header(name, safe_field(value));
  if (answer.stream) {
    auto stream = std::move(answer.stream);
    response.set_chunked_content_provider(answer.type, [stream](std::size_t, httplib::DataSink& sink) {
      return stream([&sink](std::string_view text) {
        return text.empty() ? sink.is_writable() : sink.write(text.data(), text.size());
      });
    });
    return;
  }
  if (answer.status == 204 || answer.status == 304) return;
  response.body = std::move(answer.body);
  response.set_header("Content-Type", safe_field(answer.type));
}

// The announced length; nothing where it is no number.
std::optional<std::size_t> announced(const Call& call) {
  const std::string_view text = field(call, "Content-Length");
  if (text.empty()) return 0;
  std::size_t length = 0;
  const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), length);
  if (error != std::errc() || end != text.data() + text.size()) return std::nullopt;
  return length;
}

bool is_no_memory(const std::exception_ptr& failure) {
  try {
    std::rethrow_exception(failure);
  } catch (const std::bad_alloc&) {
    return true;
  } catch (...) {
    return false;
  }
}

// Refuses forms of a body that the library decompresses or reads without limit; the page uses none of them.
std::optional<Answer> refuse_framing(const Call& call, std::size_t largest) {
  if (call.fields.contains("Transfer-Encoding") || call.fields.count("Content-Length") > 1)
    return refuse(411, "length-required", "The body has no length.", "Send it with one Content-Length.");
  if (call.fields.contains("Content-Encoding") ||
      field(call, "Content-Type").find("multipart/") != std::string_view::npos)
    return refuse(415, "body-not-plain", "The body is compressed or in parts.", "Send it plain.");
  const std::optional<std::size_t> length = announced(call);
  if (!length) return refuse(400, "bad-length", "The length of the body is not a number.", "Send it again.");
  if (*length > largest) return refuse_large(largest);
  return std::nullopt;
}

}  // namespace

struct Listener::Inner final : httplib::Server {
  Inner(const ListenerOptions& chosen, Listener::Handlers given)
      : options(chosen),
        handlers(std::move(given)),
        remote_connections(std::make_shared<ConnectionLimit>(chosen.each_remote, chosen.all_remotes)) {}

  // NOLINTNEXTLINE(bugprone-exception-escape): what it calls answers with values
  bool process_and_close_socket(socket_t socket) override;
  ConnectionLimit::Slot enter(const std::string& remote);
  void serve_request(Guest guest);
  HandlerResponse route(const httplib::Request& request, httplib::Response& response);
  void answer(const httplib::Request& request, httplib::Response& response);
  void set_up();

  ListenerOptions options;
  Listener::Handlers handlers;
  std::shared_ptr<ConnectionLimit> remote_connections;
  std::unique_ptr<httplib::ThreadPool> workers;
  std::unique_ptr<HeadPoller> poller;
  int stopping = -1;
  int listening = -1;
  std::thread accepting;
};

namespace {
// If a head was not understood or its body not read, what follows on the connection is not a request.
thread_local bool must_close = true;
thread_local bool is_paired = false;
thread_local bool is_tls = false;
}  // namespace

// One request of a connection, which then waits for the next.
void Listener::Inner::serve_request(Guest guest) {
  const bool is_local = guest.connection->is_local();
  const auto trim = [is_local](httplib::Request& request) {
    request.ranges.clear();  // many overlapping ranges would multiply what is sent
    // Packing pays on a radio link only, and its densest form costs more than it saves.
    const bool packs = request.get_header_value("Accept-Encoding").find("gzip") != std::string::npos;
    request.headers.erase("Accept-Encoding");
    if (packs && !is_local) request.headers.emplace("Accept-Encoding", "gzip");
  };
  GuardedStream stream(*guest.connection, std::move(guest.bytes), stopping, options.stream);
  bool closed = false;
  must_close = true;
  is_paired = false;
  is_tls = guest.connection->is_tls();
  const bool fine =
      process_request(stream, false, closed, trim) && !closed && !must_close && !stream.broken();
  guest.known = guest.known || is_paired;
  guest.bytes = stream.unread();
  if (fine) poller->add(std::move(guest));
}

// A newcomer takes the place of one that waits and that no paired device has used: slow heads keep nobody out.
ConnectionLimit::Slot Listener::Inner::enter(const std::string& remote) {
  ConnectionLimit::Entry entry = remote_connections->enter(remote);
  if (!entry.slot && poller->drop_unknown(entry.of_this ? remote : std::string()))
    entry = remote_connections->enter(remote);
  return std::move(entry.slot);
}

bool Listener::Inner::process_and_close_socket(socket_t socket) {
  Guest guest;
  guest.connection = std::make_unique<Connection>(socket, options.tls);
  guest.limited = options.loopback_is_remote || !guest.connection->is_local();
  if (guest.limited) {
    if (options.private_only && !is_private_address(guest.connection->remote())) return false;
    guest.slot = enter(guest.connection->remote());
    if (!guest.slot) return false;
  }
  poller->add(std::move(guest));
  return true;
}

httplib::Server::HandlerResponse Listener::Inner::route(const httplib::Request& request,
                                                        httplib::Response& response) {
  Call call = call_of(request);
  call.tls = is_tls;
  std::optional<Answer> refused = refuse_framing(call, options.largest_body);
  if (!refused) refused = handlers.check_head(call);
  is_paired = call.paired;
  const std::optional<std::size_t> length_announced = announced(call);
  if (refused) {
    must_close = !length_announced || *length_announced > 0 || call.fields.contains("Transfer-Encoding");
    if (must_close) refused->fields.emplace("Connection", "close");
    write_answer(std::move(*refused), response);
    return HandlerResponse::Handled;
  }
  const std::size_t length = length_announced.value_or(0);
  // Without a length the library would read until the client closes the connection.
  const bool body_follows = length > 0 && request.method != "GET" && request.method != "HEAD";
  if (body_follows) return HandlerResponse::Unhandled;  // answer() is called with it
  must_close = length > 0;
  write_answer(handlers.answer(call), response);
  return HandlerResponse::Handled;
}

void Listener::Inner::answer(const httplib::Request& request, httplib::Response& response) {
  Call call = call_of(request);
  call.body = request.body;
  call.tls = is_tls;
  must_close = false;
  if (auto refused = handlers.check_head(call)) {
    write_answer(std::move(*refused), response);
    return;
  }
  write_answer(handlers.answer(call), response);
}

void Listener::Inner::set_up() {
  set_tcp_nodelay(true);
  set_keep_alive_max_count(requests_announced);  // what a client is told; the loop above has no limit
  set_keep_alive_timeout(std::chrono::duration_cast<std::chrono::seconds>(options.stream.idle).count());
  new_task_queue = [] { return new AtOnce; };
  set_payload_max_length(options.largest_body);
  set_socket_options([this](socket_t socket) {
    const int yes = 1;
    // No SO_REUSEPORT: a second program could silently share the port.
    ::setsockopt(socket, SOL_SOCKET, SO_REUSEADDR, &yes, sizeof yes);
    listening = socket;
  });
  set_pre_routing_handler([this](const httplib::Request& request, httplib::Response& response) {
    return route(request, response);
  });
  const auto handle = [this](const httplib::Request& request, httplib::Response& response) {
    answer(request, response);
  };
  Post(".*", handle);
  Put(".*", handle);
  Patch(".*", handle);
  Delete(".*", handle);
  // NOLINTNEXTLINE(performance-unnecessary-value-param): the library's signature
  set_exception_handler([](const httplib::Request&, httplib::Response& response, std::exception_ptr failure) {
    if (is_no_memory(failure)) return write_answer(refuse_for_memory(), response);
    write_answer(refuse(500, "bug", "The program failed while it answered this.",
                        "Nothing was changed. Try again, and report what you did."),
                 response);
  });
}

Listener::Listener(const ListenerOptions& options, Handlers handlers)
    : inner_(std::make_unique<Inner>(options, std::move(handlers))) {
  inner_->stopping = ::eventfd(0, EFD_CLOEXEC);
  inner_->set_up();
}

Listener::~Listener() {
  stop();
  if (inner_->stopping >= 0) ::close(inner_->stopping);
}

tl::expected<int, Problem> Listener::bind(const std::string& address, int port) {
  const bool bound =
      port == 0 ? (port = inner_->bind_to_any_port(address)) > 0 : inner_->bind_to_port(address, port);
  if (bound) {
    ::listen(inner_->listening, backlog);
    return port;
  }
  return tl::unexpected(Problem{Severity::error,
                                "port-taken",
                                {},
                                "Port " + std::to_string(port) + " is in use by another program.",
                                "Choose another with --port."});
}

void Listener::start() {
  inner_->workers = std::make_unique<httplib::ThreadPool>(inner_->options.threads);
  inner_->poller = std::make_unique<HeadPoller>(inner_->options.stream, [inner = inner_.get()](Guest guest) {
    // The library's tasks can be copied, which a guest can not.
    auto shared = std::make_shared<Guest>(std::move(guest));
    inner->workers->enqueue([inner, shared] { inner->serve_request(std::move(*shared)); });
  });
  inner_->accepting = std::thread([this] { inner_->listen_after_bind(); });
  while (!inner_->is_running()) std::this_thread::yield();
}

void Listener::stop() {
  if (!inner_->accepting.joinable()) return;
  const std::uint64_t one = 1;
  [[maybe_unused]] const ssize_t woken = ::write(inner_->stopping, &one, sizeof one);
  inner_->stop();
  inner_->accepting.join();
  inner_->workers->shutdown();
  inner_->poller.reset();
}

}  // namespace loomgraft
