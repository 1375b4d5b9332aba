// What is done for an open file while nobody writes to it: its log is written back, so that a plain copy of the file is
// whole, and a dated copy is made now and then.
//
// Model   a thread of its own looks four times a second; a file whose last entry is a second old is idle
// Gives   a settled file (GraftFile::settle) and, if one is due, a copy (store/copies.h)
// Fails   in silence, and tries again: nothing that was acknowledged depends on it
#pragma once

#include <condition_variable>
#include <cstdint>
#include <functional>
#include <map>
#include <memory>
#include <mutex>
#include <string>
#include <thread>
#include <vector>

namespace loomgraft {

struct OpenGraft;

class IdleKeeper {
 public:
  using List = std::function<std::vector<std::shared_ptr<OpenGraft>>()>;
  IdleKeeper(List list, bool dated_copies);
  IdleKeeper(const IdleKeeper&) = delete;
  IdleKeeper& operator=(const IdleKeeper&) = delete;
  ~IdleKeeper();
  void stop();

  // For tests: treats every open file as idle, and returns once all is done.
  void keep_now();

 private:
  struct Seen {
    std::weak_ptr<OpenGraft> graft;
    std::int64_t sequence = -1;
    std::int64_t since_ms = 0;
    bool kept = false;
  };
  void run();
  void look(std::int64_t idle_ms);
  void keep(OpenGraft& graft, Seen& seen) const;

  List list_;
  bool dated_copies_;
  std::mutex looking_;
  std::map<std::string, Seen> seen_;
  std::mutex mutex_;
  std::condition_variable wake_;
  bool ending_ = false;
  std::thread thread_;
};

}  // namespace loomgraft
