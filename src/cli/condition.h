// A state of the vehicle as said on the command line.
//
// Model   the name of a condition of the document, or of one of the usual ones ("off", "on", "crank"), or
//         facts: "key=on,supply=12.6,work=S1,drive=C1:4,unplug=C2,remove=F3,ambient=40,battery=off"
// Fails   a Problem that names the part which says nothing
#pragma once

#include <string>
#include <tl/expected.hpp>

#include "cli/command.h"
#include "loom/graft.h"
#include "network/loom_network.h"

namespace loomgraft::cli {

tl::expected<Condition, Problem> condition_of(const Graft& graft, const std::string& text);

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
