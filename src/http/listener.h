// The socket side of the server: binding, connections and their limits. It turns requests into Calls and sends Answers.
//
// Model   one thread waits for all connections until a request's head is whole (head_poller.h); a thread of a pool reads
//         the body and answers. Connections of other devices are limited for each address and in total; a newcomer
//         takes the place of one that waits and that no paired device has used. A body is read only if
//         `check_head` accepted the head, and never beyond the announced length.
// Needs   `check_head` and `answer` may be called from many threads at once
// Gives   every answer as written by `answer`; a Call whose head is refused never has its body read, and its
//         connection is closed
// Fails   a Problem if the port is in use; everything else is an answer
#pragma once

#include <cstdint>
#include <functional>
#include <memory>
#include <optional>
#include <string>
#include <tl/expected.hpp>

#include "base/problem.h"
#include "http/call.h"
#include "http/guarded_stream.h"

namespace loomgraft {

struct ListenerOptions {
  StreamLimits stream;
  std::size_t threads = 64;      // each event stream needs one
  std::size_t each_remote = 20;  // connections of one other device
  std::size_t all_remotes = 48;  // of all other devices
  std::size_t largest_body = std::size_t{32} << 20U;
  bool loopback_is_remote = false;  // for tests: limits hold for this machine, too
  bool private_only = false;        // connections from public addresses are closed unanswered
  ssl_ctx_st* tls = nullptr;        // offers TLS beside plain HTTP on the same port; outlives the listener
};

class Listener {
 public:
  struct Handlers {
    // Checks a Call before its body is read; an Answer refuses it.
    std::function<std::optional<Answer>(Call&)> check_head;
    std::function<Answer(Call&)> answer;
  };

  Listener(const ListenerOptions& options, Handlers handlers);
  Listener(const Listener&) = delete;
  Listener& operator=(const Listener&) = delete;
  ~Listener();  // stops

  // `port` 0: any free port. Returns the port.
  tl::expected<int, Problem> bind(const std::string& address, int port);
  void start();  // serves from here on, in threads of its own
  void stop();   // after the answers that have begun are sent

 private:
  struct Inner;
  std::unique_ptr<Inner> inner_;
};

}  // namespace loomgraft
