// The graft files that are being worked on, each open once, and what happens to them.
//
// Model   a file has a connection to read, one to write and one for the queue of readings, so that a write
//         that waits for the disk holds no reader up. One thread looks at every open file ten times a second,
//         and at once after our own writes; what any process wrote becomes events.
// Gives   the file behind a name of the folder; one whose name now belongs to another file is opened anew
// Fails   as GraftFolder and GraftFile
// Cost    a look at an unchanged file is one question to SQLite
#pragma once

#include <atomic>
#include <condition_variable>
#include <map>
#include <memory>
#include <mutex>
#include <string>
#include <thread>
#include <vector>

#include "serve/event_log.h"
#include "store/graft_file.h"
#include "store/graft_folder.h"
#include "store/reading_queue.h"

namespace loomgraft {

struct OpenGraft {
  OpenGraft(std::string called, GraftFile read, GraftFile write, ReadingQueue queue)
      : name(std::move(called)),
        reader(std::move(read)),
        writer(std::move(write)),
        readings(std::move(queue)) {}

  std::string name;
  GraftFile reader;
  GraftFile writer;
  ReadingQueue readings;
  EventLog events;
  std::int64_t announced = 0;  // sequence up to which there are events; the watching thread's own
  std::uint64_t device = 0;    // which file it is, as the system numbers it
  std::uint64_t inode = 0;
  std::atomic<std::int64_t> used{0};  // seconds
};
using OpenGraftPtr = std::shared_ptr<OpenGraft>;

class OpenGrafts {
 public:
  // With `only`, no other file of the folder is shown or opened.
  OpenGrafts(GraftFolder folder, std::string only = {});
  OpenGrafts(const OpenGrafts&) = delete;
  OpenGrafts& operator=(const OpenGrafts&) = delete;
  ~OpenGrafts();  // ends every wait for events, then writes what waits

  Stored<OpenGraftPtr> open(const std::string& name);
  std::vector<std::string> names() const;
  std::vector<FolderEntry> list() const;
  // A new file; its name is free or the answer is file-exists.
  Stored<OpenGraftPtr> create(const std::string& name, const Graft& graft, const Stamp& stamp);

  // Something was written: have it told without waiting for the next look.
  void look_now();
  void close_events();

 private:
  // These need the turn.
  void forget(const std::string& name);
  Stored<OpenGraftPtr> keep(const std::string& name, const std::string& path, GraftFile reader,
                            GraftFile writer);

  void watch();
  void look_at_all();

  GraftFolder folder_;
  std::string only_;
  std::mutex turn_;
  std::map<std::string, OpenGraftPtr> open_;
  std::mutex watch_turn_;
  std::condition_variable wake_;
  bool looked_for_ = false;
  bool ending_ = false;
  std::thread watcher_;
};

// Why and what, in one line.
std::string words_of(const Revision& revision);

// The events of everything written after `sequence`.
Stored<std::vector<Event>> events_since(GraftFile& file, std::int64_t sequence, std::size_t most = 1000);

}  // namespace loomgraft
