// The open graft files, each opened once, and the events of each.
//
// Model   a file has a connection to read, one to write and one for the queue of readings, so that a write
//         that waits for the disk does not delay a reader. One thread checks every open file ten times a
//         second, and at once after our own writes; what any process wrote becomes events.
// Gives   the file behind a name of the folder; opened again if the name now belongs to another file
// Fails   as GraftFolder and GraftFile
// Cost    checking an unchanged file is one query to SQLite
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
#include "serve/idle_keeper.h"
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
  Problems remarks;            // what opening found
  std::int64_t announced = 0;  // sequence up to which there are events; used by the watching thread only
  std::uint64_t device = 0;    // which file it is, as the system numbers it
  std::uint64_t inode = 0;
  std::atomic<std::int64_t> used{0};  // seconds
};
using OpenGraftPtr = std::shared_ptr<OpenGraft>;

class OpenGrafts {
 public:
  // With `only`, no other file of the folder is shown or opened.
  explicit OpenGrafts(GraftFolder folder, std::string only = {}, bool dated_copies = true);
  OpenGrafts(const OpenGrafts&) = delete;
  OpenGrafts& operator=(const OpenGrafts&) = delete;
  ~OpenGrafts();  // ends every wait for events, then writes the queued readings

  Stored<OpenGraftPtr> open(const std::string& name);
  std::vector<std::string> names() const;
  std::vector<FolderEntry> list() const;
  // A new file; its name is free or the answer is file-exists.
  Stored<OpenGraftPtr> create(const std::string& name, const Graft& graft, const Stamp& stamp);

  // Where the file of this name stands, whether it can be read or not.
  Stored<std::string> path_of(const std::string& name) const;
  // Puts a dated copy in the place of the graft: whoever follows it is told to load it anew.
  Stored<OpenGraftPtr> put_back(const std::string& name, const std::string& copy, const std::string& now);
  std::vector<OpenGraftPtr> all_open();
  IdleKeeper& keeper() { return keeper_; }

  // Something was written: announce it without waiting for the next regular check.
  void check_now();
  // For the listeners of every open file: something that is in no file.
  void publish_to_all(const std::string& name, const std::string& data);
  void close_events();

 private:
  // With the mutex held:
  void forget(const std::string& name);
  Stored<OpenGraftPtr> keep(const std::string& name, const std::string& path, GraftFile reader,
                            GraftFile writer);
  void forget_replaced(const OpenGraftPtr& graft);

  void watch();
  void check_all();

  GraftFolder folder_;
  std::string only_;
  mutable std::mutex mutex_;
  std::map<std::string, OpenGraftPtr> open_;
  std::mutex watch_mutex_;
  std::condition_variable wake_;
  bool check_wanted_ = false;
  bool ending_ = false;
  std::thread watcher_;
  IdleKeeper keeper_;
};

// The events of everything written after `sequence`.
Stored<std::vector<Event>> events_since(GraftFile& file, std::int64_t sequence, std::size_t most = 1000);

}  // namespace loomgraft
