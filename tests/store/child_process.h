// Work in a process of its own, for what one process cannot show: sharing a file, being killed, having no
// rights.
#pragma once

#include <sys/types.h>
#include <sys/wait.h>
#include <unistd.h>

#include <csignal>
#include <cstdlib>
#include <functional>
#include <string>

namespace loomgraft {

class ChildProcess {
 public:
  // `work` gets the descriptor to report to.
  explicit ChildProcess(const std::function<void(int)>& work) {
    int ends[2] = {-1, -1};
    if (pipe(ends) != 0) std::abort();
    pid_ = fork();
    if (pid_ == 0) {
      close(ends[0]);
      work(ends[1]);
      _exit(0);
    }
    close(ends[1]);
    from_ = ends[0];
  }
  ~ChildProcess() {
    wait_for_end();
    close(from_);
  }
  ChildProcess(const ChildProcess&) = delete;
  ChildProcess& operator=(const ChildProcess&) = delete;

  void kill_now() const { kill(pid_, SIGKILL); }
  void wait_for_end() {
    if (pid_ > 0) waitpid(pid_, nullptr, 0);
    pid_ = -1;
  }

  // One line of the report without its end; empty when there is no more.
  std::string line() {
    std::string text;
    char c = 0;
    while (read(from_, &c, 1) == 1) {
      if (c == '\n') return text;
      text += c;
    }
    return {};  // a line that was cut off was never said
  }

 private:
  pid_t pid_ = -1;
  int from_ = -1;
};

inline void say(int to, const std::string& text) {
  const std::string line = text + "\n";
  if (write(to, line.data(), line.size()) != static_cast<ssize_t>(line.size())) _exit(1);
}

}  // namespace loomgraft
