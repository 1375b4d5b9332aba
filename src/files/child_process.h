// Runs another program on bytes, within limits: what goes wrong in it harms nothing here.
//
// Model   no shell; the program is found on PATH and gets standard input and output and nothing else that is open here
// Fails   by `end`; a program that exceeds its limits is killed
#pragma once

#include <cstddef>
#include <string>
#include <string_view>
#include <vector>

namespace loomgraft::files {

struct ChildLimits {
  int seconds = 30;
  std::size_t memory = std::size_t{1} << 30;
  std::size_t output = std::size_t{64} << 20;
};

enum class ChildEnd { finished, not_installed, not_started, too_long, too_much };

struct ChildResult {
  ChildEnd end = ChildEnd::finished;
  int status = 0;  // its exit status; -1 where a signal ended it
  std::string output;
  std::string errors;  // the beginning of what it said
};

ChildResult run_child(const std::string& program, const std::vector<std::string>& arguments,
                      std::string_view input, const ChildLimits& limits = {});

}  // namespace loomgraft::files
