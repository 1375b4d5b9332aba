// The socket side of the server: binding, connections and their limits. Calls come out of it, answers go in.
//
// Model   one thread a connection, out of a pool; connections of other devices are limited an address and in
//         all, so that they cannot take the threads that this machine needs. A body is read only where the
//         caller's `look` let the head pass, and never beyond the length it announced.
// Needs   `look` and `answer` may be called from many threads at once
// Gives   every answer as written by `answer`; a Call whose head is refused never has its body read, and its
//         connection is closed
// Fails   a port that is taken: a Problem; everything else is an answer
#pragma once

#include <cstdint>
#include <functional>
#include <memory>
#include <optional>
#include <string>
#include <tl/expected.hpp>

#include "http/call.h"
#include "http/guarded_stream.h"
#include "base/problem.h"

namespace loomgraft {

struct ListenerOptions {
  StreamLimits stream;
  std::size_t threads = 64;      // an event stream and an idle connection each hold one
  std::size_t each_remote = 20;  // connections of one other device
  std::size_t all_remotes = 48;  // of all of them
  std::size_t largest_body = std::size_t{32} << 20U;
};

class Listener {
 public:
  struct Handlers {
    // Looks at a Call before its body is read: an Answer refuses it.
    std::function<std::optional<Answer>(Call&)> look;
    std::function<Answer(Call&)> answer;
  };

  Listener(const ListenerOptions& options, Handlers handlers);
  Listener(const Listener&) = delete;
  Listener& operator=(const Listener&) = delete;
  ~Listener();  // stops

  // `port` 0 takes any that is free. The port that was taken.
  tl::expected<int, Problem> bind(const std::string& address, int port);
  void start();  // serves from here on, in threads of its own
  void stop();   // lets what is being answered finish

 private:
  struct Inner;
  std::unique_ptr<Inner> inner_;
};

}  // namespace loomgraft
