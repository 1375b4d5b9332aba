// The program, called as its users call it.
#pragma once

#include <sys/wait.h>

#include <array>
#include <cstdio>
#include <string>

namespace loomgraft {

struct ProgramRun {
  int status = -1;
  std::string out;  // both streams
};

inline ProgramRun run_program(const std::string& arguments) {
  const std::string command = std::string(LOOMGRAFT_BUILD) + "/loomgraft " + arguments + " 2>&1";
  ProgramRun outcome;
  FILE* pipe = popen(command.c_str(), "r");
  if (pipe == nullptr) return outcome;
  std::array<char, 4096> buffer{};
  for (std::size_t n = 0; (n = fread(buffer.data(), 1, buffer.size(), pipe)) > 0;)
    outcome.out.append(buffer.data(), n);
  const int status = pclose(pipe);
  outcome.status = WIFEXITED(status) ? WEXITSTATUS(status) : -1;
  return outcome;
}

}  // namespace loomgraft
