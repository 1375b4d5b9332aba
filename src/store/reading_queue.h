// Readings from many threads, written by one: all that wait are written together.
//
// Model   a thread with its own connection takes all that waits, writes it in one transaction with one sync,
//         and then answers each
// Gives   a future that is ready once the reading is on the disk (or refused); order of one thread is kept
// Fails   as GraftFile::append; a write that fails answers every reading of that batch with its Problems, and
//         the queue goes on
// Cost    one sync of the disk for each batch, however many senders
#pragma once

#include <future>
#include <memory>
#include <string>

#include "store/graft_file.h"

namespace loomgraft {

class ReadingQueue {
 public:
  // With Access::read every reading is answered with read-only.
  static Stored<ReadingQueue> open(const std::string& path, const OpenOptions& options = {});
  ReadingQueue(ReadingQueue&&) noexcept;
  ReadingQueue& operator=(ReadingQueue&&) noexcept;
  ~ReadingQueue();  // writes what waits, then ends the thread

  std::future<Stored<Appended>> add(Reading reading);
  bool replaced() const;  // as GraftFile::replaced()

 private:
  struct Inner;
  explicit ReadingQueue(std::unique_ptr<Inner> inner);
  std::unique_ptr<Inner> inner_;
};

}  // namespace loomgraft
