// The input is handed over as a file in memory, so that a program which stops reading cannot block this one, and only its
// two outputs are waited for. Between fork and exec nothing is called that could wait for a lock of another thread.
#include "files/child_process.h"

#include <fcntl.h>
#include <poll.h>
#include <sys/mman.h>
#include <sys/resource.h>
#include <sys/syscall.h>
#include <sys/wait.h>
#include <unistd.h>

#include <algorithm>
#include <array>
#include <cerrno>
#include <chrono>
#include <csignal>
#include <cstdlib>
#include <optional>
#include <utility>

namespace loomgraft::files {
namespace {

constexpr std::size_t most_errors = 4096;

class Handle {
 public:
  explicit Handle(int file = -1) : file_(file) {}
  Handle(Handle&& other) noexcept : file_(std::exchange(other.file_, -1)) {}
  Handle(const Handle&) = delete;
  Handle& operator=(const Handle&) = delete;
  Handle& operator=(Handle&&) = delete;
  ~Handle() { close(); }
  int get() const { return file_; }
  bool open() const { return file_ >= 0; }
  void close() {
    if (file_ >= 0) ::close(file_);
    file_ = -1;
  }

 private:
  int file_;
};

std::string on_path(const std::string& program) {
  const char* path = std::getenv("PATH");
  std::string_view rest = path ? path : "/usr/local/bin:/usr/bin:/bin";
  while (!rest.empty()) {
    const std::size_t end = std::min(rest.find(':'), rest.size());
    std::string file = std::string(rest.substr(0, end)) + "/" + program;
    if (file.front() == '/' && access(file.c_str(), X_OK) == 0) return file;
    rest.remove_prefix(std::min(end + 1, rest.size()));
  }
  return {};
}

Handle file_in_memory(std::string_view bytes) {
  Handle file(memfd_create("input", MFD_CLOEXEC));
  while (file.open() && !bytes.empty()) {
    const ssize_t count = write(file.get(), bytes.data(), bytes.size());
    if (count <= 0) return Handle();
    bytes.remove_prefix(static_cast<std::size_t>(count));
  }
  if (file.open()) lseek(file.get(), 0, SEEK_SET);
  return file;
}

struct Pipe {
  Handle from, to;
};

std::optional<Pipe> make_pipe() {
  int ends[2];
  if (pipe2(ends, O_CLOEXEC) != 0) return std::nullopt;
  return Pipe{Handle(ends[0]), Handle(ends[1])};
}

void limit(int resource, std::size_t value) {
  const rlimit both{value, value};
  setrlimit(static_cast<__rlimit_resource>(resource), &both);
}

// In the child: never returns.
[[noreturn]] void become(const char* file, char* const* arguments, char* const* environment, int input,
                         int output, int errors, const ChildLimits& limits) {
  constexpr int not_executed = 127;
  if (dup2(input, 0) < 0 || dup2(output, 1) < 0 || dup2(errors, 2) < 0) _exit(not_executed);
  syscall(SYS_close_range, 3U, ~0U, 0U);
  limit(RLIMIT_AS, limits.memory);
  limit(RLIMIT_CPU, static_cast<std::size_t>(limits.seconds));
  limit(RLIMIT_FSIZE, 0);
  limit(RLIMIT_CORE, 0);
  execve(file, arguments, environment);
  _exit(not_executed);
}

// Reads both outputs until they are closed; false where a limit was met.
ChildEnd collect(ChildResult& result, Handle& output, Handle& errors, const ChildLimits& limits) {
  using namespace std::chrono;
  const auto deadline = steady_clock::now() + seconds(limits.seconds);
  std::array<char, 65536> buffer;
  while (output.open() || errors.open()) {
    std::array<pollfd, 2> waiting{{{output.get(), POLLIN, 0}, {errors.get(), POLLIN, 0}}};
    const auto left = duration_cast<milliseconds>(deadline - steady_clock::now()).count();
    if (left <= 0) return ChildEnd::too_long;
    if (poll(waiting.data(), waiting.size(), static_cast<int>(left)) < 0 && errno != EINTR)
      return ChildEnd::not_started;
    for (std::size_t i = 0; i < waiting.size(); ++i) {
      if (waiting[i].revents == 0) continue;
      Handle& handle = i == 0 ? output : errors;
      const ssize_t count = read(handle.get(), buffer.data(), buffer.size());
      if (count <= 0) {
        if (count == 0 || errno != EINTR) handle.close();
        continue;
      }
      std::string& into = i == 0 ? result.output : result.errors;
      const std::size_t most = i == 0 ? limits.output : most_errors;
      if (i == 0 && into.size() + static_cast<std::size_t>(count) > most) return ChildEnd::too_much;
      into.append(buffer.data(), std::min(static_cast<std::size_t>(count), most - into.size()));
    }
  }
  return ChildEnd::finished;
}

int wait_for(pid_t child) {
  int status = 0;
  while (waitpid(child, &status, 0) < 0 && errno == EINTR) {
  }
  return WIFEXITED(status) ? WEXITSTATUS(status) : -1;
}

}  // namespace

ChildResult run_child(const std::string& program, const std::vector<std::string>& arguments,
                      std::string_view input, const ChildLimits& limits) {
  ChildResult result;
  const std::string file = on_path(program);
  if (file.empty()) {
    result.end = ChildEnd::not_installed;
    return result;
  }
  const Handle bytes = file_in_memory(input);
  auto output = make_pipe();
  auto errors = make_pipe();
  if (!bytes.open() || !output || !errors) {
    result.end = ChildEnd::not_started;
    return result;
  }
  std::vector<std::string> texts{program};
  texts.insert(texts.end(), arguments.begin(), arguments.end());
  std::vector<char*> pointers;
  pointers.reserve(texts.size() + 1);
  for (std::string& text : texts) pointers.push_back(text.data());
  pointers.push_back(nullptr);
  std::string language = "LC_ALL=C.UTF-8";
  std::array<char*, 2> environment{language.data(), nullptr};
  const pid_t child = fork();
  if (child == 0)
    become(file.c_str(), pointers.data(), environment.data(), bytes.get(), output->to.get(), errors->to.get(),
           limits);
  output->to.close();
  errors->to.close();
  if (child < 0) {
    result.end = ChildEnd::not_started;
    return result;
  }
  result.end = collect(result, output->from, errors->from, limits);
  if (result.end != ChildEnd::finished) kill(child, SIGKILL);
  result.status = wait_for(child);
  return result;
}

}  // namespace loomgraft::files
