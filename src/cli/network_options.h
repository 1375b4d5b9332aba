// What the commands share that solve the loom in one state of the vehicle.
#pragma once

#include <optional>
#include <string>

#include "cli/command.h"
#include "loom/graft.h"
#include "network/loom_network.h"

namespace loomgraft::cli {

// What `solve` and `netlist` share: a document, a condition, a corner, a stage.
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

// The solved network, or nothing; `problems` gets everything that was met on the way.
std::optional<ReadyNetwork> ready_network(const NetworkCall& call, Problems& problems);

}  // namespace loomgraft::cli
