#include "base/parallel.h"

#include <algorithm>
#include <condition_variable>
#include <exception>
#include <mutex>
#include <thread>
#include <vector>

namespace loomgraft {

#ifdef __wasi__  // no threads

std::size_t cores() {
  return 1;
}

void parallel_for(std::size_t count, const std::function<void(std::size_t)>& work) {
  for (std::size_t k = 0; k < count; ++k) work(k);
}

#else

namespace {

struct Loop {
  std::size_t count = 0;
  const std::function<void(std::size_t)>* work = nullptr;
  std::size_t next = 0;     // first that has not begun
  std::size_t working = 0;  // threads in it
  std::exception_ptr failure{};
};

class ThreadPool {
 public:
  static ThreadPool& instance() {
    static ThreadPool pool;
    return pool;
  }

  void run(std::size_t count, const std::function<void(std::size_t)>& work) {
    Loop loop{count, &work};
    std::unique_lock lock(mutex_);
    loops_.push_back(&loop);
    work_added_.notify_all();
    take_part(loop, lock);
    thread_left_.wait(lock, [&] { return loop.working == 0; });
    std::erase(loops_, &loop);
    if (loop.failure) std::rethrow_exception(loop.failure);
  }

 private:
  ThreadPool() {
    for (std::size_t core = 1; core < cores(); ++core) threads_.emplace_back([this] { wait_and_help(); });
  }

  ~ThreadPool() {
    {
      const std::lock_guard lock(mutex_);
      ending_ = true;
    }
    work_added_.notify_all();
    for (std::thread& thread : threads_) thread.join();
  }

  // The newest first: it is part of an older one that waits for it.
  Loop* wanted() {
    const auto found = std::find_if(loops_.rbegin(), loops_.rend(),
                                    [](const Loop* loop) { return loop->next < loop->count; });
    return found == loops_.rend() ? nullptr : *found;
  }

  void wait_and_help() {
    std::unique_lock lock(mutex_);
    while (true) {
      Loop* loop = nullptr;
      work_added_.wait(lock, [&] { return ending_ || (loop = wanted()) != nullptr; });
      if (ending_) return;
      take_part(*loop, lock);
    }
  }

  void take_part(Loop& loop, std::unique_lock<std::mutex>& lock) {
    ++loop.working;
    while (loop.next < loop.count) {
      const std::size_t k = loop.next++;
      lock.unlock();
      std::exception_ptr failure;
      try {
        (*loop.work)(k);
      } catch (...) {
        failure = std::current_exception();
      }
      lock.lock();
      if (!failure) continue;
      if (!loop.failure) loop.failure = failure;
      loop.next = loop.count;
    }
    if (--loop.working == 0) thread_left_.notify_all();
  }

  std::mutex mutex_;
  std::condition_variable work_added_;
  std::condition_variable thread_left_;
  std::vector<Loop*> loops_;  // oldest first
  std::vector<std::thread> threads_;
  bool ending_ = false;
};

}  // namespace

std::size_t cores() {
  // The system reads a file to tell.
  static const std::size_t count = std::max<std::size_t>(1, std::thread::hardware_concurrency());
  return count;
}

void parallel_for(std::size_t count, const std::function<void(std::size_t)>& work) {
  if (count == 1) return work(0);
  if (count > 0) ThreadPool::instance().run(count, work);
}

#endif

}  // namespace loomgraft
