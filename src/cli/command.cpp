#include "cli/command.h"

#include <algorithm>
#include <cstdio>
#include <nlohmann/json.hpp>

#include "cli/paper.h"

namespace loomgraft::cli {

void add_output_options(CLI::App& command, Output& output, bool tabular) {
  auto* json = command.add_flag("--json", output.json, "print the whole report as JSON");
  if (!tabular) return;
  command.add_flag("--csv", output.csv, "print the table as CSV, harmless to spreadsheets")->excludes(json);
}

void print_text(const std::string& text) {
  std::fwrite(text.data(), 1, text.size(), stdout);
}

void print_json(const nlohmann::ordered_json& json) {
  print_text(json.dump(2, ' ', false, nlohmann::ordered_json::error_handler_t::replace) + "\n");
}

void print_problems(const Problems& problems) {
  const std::string text = print(problems, false);
  std::fwrite(text.data(), 1, text.size(), stderr);
}

int exit_over(const Problems& problems, int own) {
  return own == done && has_error(problems) ? attention : own;
}

}  // namespace loomgraft::cli
