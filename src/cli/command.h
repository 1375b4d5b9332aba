// What every command shares: its output form, and how it ends.
#pragma once

#include <CLI/CLI.hpp>
#include <nlohmann/json_fwd.hpp>
#include <string>
#include <vector>

#include "base/problem.h"

namespace loomgraft::cli {

// Exit status of the program.
enum Exit { done = 0, attention = 1, unusable = 2 };

struct Output {
  bool json = false;
  bool csv = false;
};

// Adds --json, and --csv for tabular commands.
void add_output_options(CLI::App& command, Output& output, bool tabular);

// To standard output: JSON with two blanks of indent; text as it is.
void print_json(const nlohmann::ordered_json& json);
void print_text(const std::string& text);
// To standard error, for reports in text form.
void print_problems(const Problems& problems);

// Of a command that would end with `own`: with an error among its problems it is not done.
int exit_over(const Problems& problems, int own);

// Each adds one subcommand; its callback sets `exit`.
void add_read(CLI::App& app, int& exit);
void add_compare(CLI::App& app, int& exit);
void add_plug(CLI::App& app, int& exit);
void add_rank(CLI::App& app, int& exit);
void add_design(CLI::App& app, int& exit);
void add_plan(CLI::App& app, int& exit);
void add_circuits(CLI::App& app, int& exit);
void add_prove(CLI::App& app, int& exit);
void add_find(CLI::App& app, int& exit);
void add_draw(CLI::App& app, int& exit);
void add_new(CLI::App& app, int& exit);
void add_check(CLI::App& app, int& exit);
void add_import(CLI::App& app, int& exit);
void add_export(CLI::App& app, int& exit);
void add_history(CLI::App& app, int& exit);
void add_recover(CLI::App& app, int& exit);
void add_backup(CLI::App& app, int& exit);
void add_restore(CLI::App& app, int& exit);
void add_serve(CLI::App& app, int& exit);
void add_solve(CLI::App& app, int& exit);
void add_netlist(CLI::App& app, int& exit);

}  // namespace loomgraft::cli
