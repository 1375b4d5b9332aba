#include "store/reading_queue.h"

#include <algorithm>
#include <chrono>
#include <condition_variable>
#include <mutex>
#include <thread>
#include <utility>
#include <vector>

namespace loomgraft {
namespace {

struct Pending {
  Reading reading;
  std::promise<Stored<Appended>> answer;
};

// A batch is limited so that its first sender does not wait for thousands of readings.
constexpr std::size_t max_batch = 512;
constexpr std::chrono::microseconds gathering_time{1000};  // a sync takes several times that

void answer_batch(GraftFile& file, std::vector<Pending>& batch) {
  std::vector<Reading> readings;
  readings.reserve(batch.size());
  for (Pending& waiting : batch) readings.push_back(std::move(waiting.reading));
  auto answers = file.append(readings);
  for (std::size_t i = 0; i < batch.size(); ++i) {
    if (answers) {
      batch[i].answer.set_value(std::move((*answers)[i]));
    } else {
      batch[i].answer.set_value(tl::unexpected(answers.error()));
    }
  }
}

}  // namespace

struct ReadingQueue::Inner {
  explicit Inner(GraftFile opened) : file(std::move(opened)) {}
  ~Inner() {
    {
      const std::lock_guard<std::mutex> lock(mutex);
      ending = true;
    }
    wake.notify_one();
    if (writer.joinable()) writer.join();
  }
  Inner(const Inner&) = delete;
  Inner& operator=(const Inner&) = delete;

  // A sender that was just answered is likely to send again at once. Taking the first reading alone would make the
  // others wait for another sync, so this waits a moment for all of them.
  std::vector<Pending> take_batch(std::size_t answered) {
    std::unique_lock<std::mutex> lock(mutex);
    const std::size_t likely = std::min(waiting.size() + answered, max_batch);
    wake.wait_for(lock, gathering_time, [&] { return ending || waiting.size() >= likely; });
    wake.wait(lock, [this] { return ending || !waiting.empty(); });
    if (waiting.size() <= max_batch) return std::exchange(waiting, {});
    const auto end = waiting.begin() + static_cast<std::ptrdiff_t>(max_batch);
    std::vector<Pending> batch(std::make_move_iterator(waiting.begin()), std::make_move_iterator(end));
    waiting.erase(waiting.begin(), end);
    return batch;
  }

  // An empty batch comes only when the queue ends with nothing left.
  void run() {
    std::size_t answered = 0;
    for (auto batch = take_batch(answered); !batch.empty(); batch = take_batch(answered)) {
      answer_batch(file, batch);
      answered = batch.size();
    }
  }

  GraftFile file;
  std::mutex mutex;
  std::condition_variable wake;
  std::vector<Pending> waiting;
  bool ending = false;
  std::thread writer;
};

ReadingQueue::ReadingQueue(std::unique_ptr<Inner> inner) : inner_(std::move(inner)) {}
ReadingQueue::ReadingQueue(ReadingQueue&&) noexcept = default;
ReadingQueue& ReadingQueue::operator=(ReadingQueue&&) noexcept = default;
ReadingQueue::~ReadingQueue() = default;

Stored<ReadingQueue> ReadingQueue::open(const std::string& path, const OpenOptions& options) {
  auto file = GraftFile::open(path, options);
  if (!file) return tl::unexpected(std::move(file.error()));
  auto inner = std::make_unique<Inner>(std::move(*file));
  inner->writer = std::thread([raw = inner.get()] { raw->run(); });
  return ReadingQueue(std::move(inner));
}

bool ReadingQueue::replaced() const {
  return inner_->file.replaced();
}

std::future<Stored<Appended>> ReadingQueue::add(Reading reading) {
  Pending waiting{std::move(reading), {}};
  auto answer = waiting.answer.get_future();
  {
    const std::lock_guard<std::mutex> lock(inner_->mutex);
    inner_->waiting.push_back(std::move(waiting));
  }
  inner_->wake.notify_one();
  return answer;
}

}  // namespace loomgraft
