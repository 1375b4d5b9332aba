// Relays pull in as long as any can; then those release whose coils have too few volts; and so on. If a set
// of positions occurs again, the relays that changed in between oscillate.
#include <algorithm>
#include <cmath>
#include <set>

#include "network/relay_steps.h"

namespace loomgraft {
namespace {

using Positions = RelayPositions;

double coil_volts(const NetworkRelay& relay, const OperatingPoint& point) {
  return std::abs(point.nodes[relay.coil_a.value].si - point.nodes[relay.coil_b.value].si);
}

// The branch of its coil is called after the relay: "fan relay coil".
std::string coil_text(const LoomNetwork& network, const NetworkRelay& relay) {
  const auto is_coil = [&](const NetworkBranch& branch) {
    return branch.kind == BranchKind::consumer && branch.subject == relay.device;
  };
  const auto coil = std::ranges::find_if(network.branches, is_coil);
  return coil == network.branches.end() ? relay.device : coil->name;
}

Problem oscillation(const LoomNetwork& network, const NetworkRelay& relay) {
  return {Severity::warning,
          "relay-oscillates",
          {},
          "The " + coil_text(network, relay) +
              " finds no rest: what the relay switches takes away or gives back its volts.",
          "Look at what feeds its coil."};
}

// The relays that differ between any two of the states from `first` on.
void mark_swinging(const std::vector<Positions>& met, std::size_t first, const LoomNetwork& network,
                   NetworkSolution& solution) {
  for (std::size_t k = 0; k < network.relays.size(); ++k) {
    const bool swings = std::any_of(met.begin() + static_cast<std::ptrdiff_t>(first), met.end(),
                                    [&](const Positions& other) { return other[k] != met.back()[k]; });
    if (!swings) continue;
    solution.relays[k] = RelayPosition::oscillating;
    solution.problems.push_back(oscillation(network, network.relays[k]));
  }
}

std::span<const Volts> start_of(std::span<const RelayStep> near, const Positions& now) {
  const auto like =
      std::find_if(near.begin(), near.end(), [&](const RelayStep& step) { return step.now == now; });
  return like == near.end() ? std::span<const Volts>{} : std::span<const Volts>{like->point.nodes};
}

}  // namespace

RelayPositions next_positions(const LoomNetwork& network, const OperatingPoint& point,
                              const RelayPositions& now) {
  RelayPositions next = now;
  for (std::size_t k = 0; k < now.size(); ++k) {
    if (!now[k] && coil_volts(network.relays[k], point) >= network.relays[k].pull_in.si) next[k] = true;
  }
  if (next != now) return next;
  for (std::size_t k = 0; k < now.size(); ++k) {
    if (now[k] && coil_volts(network.relays[k], point) < network.relays[k].release.si) next[k] = false;
  }
  return next;
}

void set_contacts(LoomNetwork& network, const RelayPositions& pulled) {
  const auto set = [&](std::size_t branch, Ohms ohms) {
    network.circuit.resistors[network.branches[branch].index].resistance = ohms;
  };
  for (std::size_t k = 0; k < pulled.size(); ++k) {
    const NetworkRelay& relay = network.relays[k];
    for (const std::size_t branch : relay.make) set(branch, pulled[k] ? relay.closed : relay.open);
    for (const std::size_t branch : relay.break_) set(branch, pulled[k] ? relay.open : relay.closed);
  }
}

tl::expected<NetworkSolution, Problem> solve(LoomNetwork& network) {
  Solver solver;
  return solve(network, solver);
}

tl::expected<NetworkSolution, Problem> solve(LoomNetwork& network, Solver& solver,
                                             const NetworkSolution* near) {
  if (!near) return solve(network, solver, nullptr, std::span<const RelayStep>{});
  RelayPositions pulled;
  for (const RelayPosition relay : near->relays) pulled.push_back(relay == RelayPosition::pulled_in);
  const RelayStep step{pulled, pulled, near->point};
  return solve(network, solver, nullptr, {&step, 1});
}

tl::expected<NetworkSolution, Problem> solve(LoomNetwork& network, Solver& solver,
                                             std::vector<RelayStep>* steps, std::span<const RelayStep> near) {
  std::vector<Positions> met;
  Positions now(network.relays.size(), false);
  while (true) {
    set_contacts(network, now);
    auto point = solver.solve(network.circuit, start_of(near, now));
    if (!point) return tl::unexpected(point.error());
    met.push_back(now);
    const Positions next = next_positions(network, *point, now);
    const auto before = std::find(met.begin(), met.end(), next);
    if (steps) steps->push_back({now, next, *point});
    if (before == met.end()) {
      now = next;
      continue;
    }
    NetworkSolution solution{std::move(*point), {}, {}};
    for (const bool pulled : now)
      solution.relays.push_back(pulled ? RelayPosition::pulled_in : RelayPosition::at_rest);
    if (next != now) mark_swinging(met, static_cast<std::size_t>(before - met.begin()), network, solution);
    return solution;
  }
}

}  // namespace loomgraft
