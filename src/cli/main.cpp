#include <malloc.h>

#include <CLI/CLI.hpp>
#include <cstdio>
#include <exception>

#include "cli/command.h"

namespace {

// The solvers allocate and free blocks of the same sizes again and again. Returning them to the system each time costs
// more than much of the work.
void keep_freed_memory() {
  mallopt(M_MMAP_THRESHOLD, 32 << 20);
  mallopt(M_TRIM_THRESHOLD, 128 << 20);
}

int run(int argc, char** argv) {
  using namespace loomgraft::cli;
  CLI::App app{"Loomgraft: fit a donor control module into a loom that was not built for it.", "loomgraft"};
  app.require_subcommand(1);
  app.footer(
      "Exit status: 0 done; 1 done, but something needs attention; 2 the input is not usable.\n"
      "Never use this tool on airbag, pretensioner or high-voltage circuits. Local codes and licensed "
      "practice come first.");
  int exit = done;
  add_read(app, exit);
  add_compare(app, exit);
  add_plug(app, exit);
  add_rank(app, exit);
  add_design(app, exit);
  add_plan(app, exit);
  add_circuits(app, exit);
  add_prove(app, exit);
  add_find(app, exit);
  add_draw(app, exit);
  add_new(app, exit);
  add_check(app, exit);
  add_import(app, exit);
  add_export(app, exit);
  add_history(app, exit);
  add_recover(app, exit);
  add_backup(app, exit);
  add_restore(app, exit);
  add_serve(app, exit);
  add_solve(app, exit);
  add_netlist(app, exit);
  try {
    app.parse(argc, argv);
  } catch (const CLI::ParseError& error) {
    const int status = app.exit(error);
    return status == 0 ? done : unusable;
  }
  return exit;
}

}  // namespace

int main(int argc, char** argv) {
  keep_freed_memory();
  try {
    return run(argc, argv);
  } catch (const std::exception& error) {
    // Unusable input is reported as problems, so this is a bug.
    std::fprintf(stderr, "loomgraft: a bug, please report it: %s\n", error.what());
  }
  return loomgraft::cli::unusable;
}
