#include "base/parallel.h"

#include <algorithm>
#include <condition_variable>
#include <exception>
#include <mutex>
#include <thread>
#include <vector>

namespace loomgraft {
namespace {

struct Batch {
  std::size_t count = 0;
  const std::function<void(std::size_t)>* work = nullptr;
  std::size_t next = 0;     // first that nobody has begun
  std::size_t working = 0;  // hands in it
  std::exception_ptr failure{};
};

class Crew {
 public:
  static Crew& of_the_program() {
    static Crew crew;
    return crew;
  }

  void run(std::size_t count, const std::function<void(std::size_t)>& work) {
    Batch batch{count, &work};
    std::unique_lock lock(mutex_);
    open_.push_back(&batch);
    called_.notify_all();
    take_part(batch, lock);
    left_.wait(lock, [&] { return batch.working == 0; });
    std::erase(open_, &batch);
    if (batch.failure) std::rethrow_exception(batch.failure);
  }

 private:
  Crew() {
    for (std::size_t core = 1; core < cores(); ++core) threads_.emplace_back([this] { wait_and_help(); });
  }

  ~Crew() {
    {
      const std::lock_guard lock(mutex_);
      ending_ = true;
    }
    called_.notify_all();
    for (std::thread& thread : threads_) thread.join();
  }

  // Those asked for last are parts of those asked for before: they are wanted first.
  Batch* wanted() {
    const auto found = std::find_if(open_.rbegin(), open_.rend(),
                                    [](const Batch* batch) { return batch->next < batch->count; });
    return found == open_.rend() ? nullptr : *found;
  }

  void wait_and_help() {
    std::unique_lock lock(mutex_);
    while (true) {
      Batch* batch = nullptr;
      called_.wait(lock, [&] { return ending_ || (batch = wanted()) != nullptr; });
      if (ending_) return;
      take_part(*batch, lock);
    }
  }

  void take_part(Batch& batch, std::unique_lock<std::mutex>& lock) {
    ++batch.working;
    while (batch.next < batch.count) {
      const std::size_t k = batch.next++;
      lock.unlock();
      std::exception_ptr failure;
      try {
        (*batch.work)(k);
      } catch (...) {
        failure = std::current_exception();
      }
      lock.lock();
      if (!failure) continue;
      if (!batch.failure) batch.failure = failure;
      batch.next = batch.count;
    }
    if (--batch.working == 0) left_.notify_all();
  }

  std::mutex mutex_;
  std::condition_variable called_;
  std::condition_variable left_;
  std::vector<Batch*> open_;  // in the order in which they were asked for
  std::vector<std::thread> threads_;
  bool ending_ = false;
};

}  // namespace

std::size_t cores() {
  return std::max<std::size_t>(1, std::thread::hardware_concurrency());
}

void parallel_for(std::size_t count, const std::function<void(std::size_t)>& work) {
  if (count == 1) return work(0);
  if (count > 0) Crew::of_the_program().run(count, work);
}

}  // namespace loomgraft
