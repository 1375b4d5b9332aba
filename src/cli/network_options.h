// Options and work of the commands that solve the loom in one condition.
#pragma once

#include <optional>
#include <string>

#include "cli/command.h"
#include "loom/graft.h"
#include "network/loom_network.h"

namespace loomgraft::cli {

// For `solve` and `netlist`: a document, a condition, a corner, a loom state.
struct NetworkCall {
  std::string graft;
  std::string condition = "on";
  std::string corner = "nominal";
  bool as_found = false;
};

void add_network_options(CLI::App& command, NetworkCall& call);

struct ReadyNetwork {
  Graft graft;
  Condition condition;
  NetworkOptions options;
  LoomNetwork network;
  NetworkSolution solution;
};

// The solved network, or nothing; `problems` gets all problems of reading and solving.
std::optional<ReadyNetwork> ready_network(const NetworkCall& call, Problems& problems);

}  // namespace loomgraft::cli
