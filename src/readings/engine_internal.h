// What the parts of fault_dictionary() share: the engine of one network and its changes, and a block of
// tests.
#pragma once

#include <map>
#include <memory>
#include <span>
#include <utility>
#include <vector>

#include "base/stop.h"
#include "readings/dictionary_internal.h"

namespace loomgraft::readings {

// A test as a dipole of the linearised network. `ideal`: its volts without a meter; for amperes those across
// the clamped branch, and for tests whose meter is part of the network.
struct Probe {
  DictionaryTest test;
  Dipole dipole;
  bool ideal = false;
  std::size_t at = 0;           // index among the tests
  double healthy_ohms = 0.0;    // between the probes
  double reference_ohms = 0.0;  // from either to the reference, together
};

struct FarTable {
  std::vector<FarChange> at;
  std::vector<FarBound> bound;
  std::vector<FarGroup> groups;
  FarChanges view() const { return {groups, at.data(), bound.data()}; }
};

// An element that a change puts on another piece of its law.
struct TurnedPiece {
  std::size_t nonlinear = 0;  // of LinearisedNetwork::nonlinear
  int piece = 0;
};

// A change as branches of a linearised network with other values.
struct PathChange {
  std::vector<std::size_t> branches;
  std::vector<NodalBranch> values;
  std::vector<TurnedPiece> turned;
};

// Indices of the circuit's resistors that stand for bridges between two nodes, open until a change makes
// them.
using OpenBridges = std::map<std::pair<NodeId, NodeId>, std::size_t>;

struct PreallocatedStep {
  std::unique_ptr<const LinearisedNetwork> linearised;
  std::unique_ptr<ChangedFronts> work;  // of it
};

// The network with preallocated open bridges, for a few changes that the sweep cannot answer: with the
// bridges of all changes at once every path would be long.
struct PreallocatedNetwork {
  LoomNetwork network;
  OpenBridges open_bridges;
  std::vector<PreallocatedStep> steps;  // of the relays, the last one at rest
  std::vector<Position> island;         // by position of the last step: the first position of its island
};

struct Engine {
  const LoomNetwork* network = nullptr;
  std::unique_ptr<LoomNetwork> bared;  // the same without names, made on first use
  std::span<const NetworkChange> changes;
  std::vector<LoweredChange> lowered;
  std::vector<std::size_t> full_solves;  // changes that the sweep cannot answer
  std::vector<RelayStep> steps;          // empty for a linear network
  std::vector<RelayStep> near;  // these, and one for each other set of positions that a change led to
  LinearisedNetwork linearised;
  MeterFigures meter;
  const SweepKernel* kernel = nullptr;
  Solver solver;
  DictionaryCount count;
  StopToken stop{};
};

// Under a change the relays must go through the same steps. `network` must outlive the engine.
tl::expected<Engine, Problem> engine_of(const LoomNetwork& network, std::span<const NetworkChange> changes,
                                        const SweepKernel& kernel);
const LoomNetwork& bare_network(Engine& engine);
// By change; nowhere for those that need a full solve.
std::vector<Dipole> dipoles_of(const Engine& engine);
FarTable far_table(const Engine& engine, const TreeCore& core);

Probe probe_of(const LoomNetwork& network, const LinearisedNetwork& linearised, const DictionaryTest& test,
               std::size_t at);
double read_by_full_solve(Engine& engine, const LoomNetwork& network, const Probe& probe);
// One change, all tests: the changed network solved. `tree`: of one that joins the same nodes, if available.
void read_solved(Engine& engine, LoomNetwork network, std::shared_ptr<const FrontTree> tree,
                 std::span<const Probe> probes, std::span<double> readings);

// The change with every element on its piece; nothing if a relay would move, or if it takes too much work.
std::optional<PathChange> fitted(const LinearisedNetwork& linearised, const PathChange& laid,
                                 ChangedFronts& work);
// With volts by position.
Headroom headroom_under(const LinearisedNetwork& linearised, std::span<const double> volts,
                        const PathChange& change);

// As linear_reading() where the meter itself puts an element on another piece: the pieces are changed until
// all are consistent. `work` holds the change `base`, before and after. Nothing if a relay would move.
std::optional<double> reading_with_meter(ChangedFronts& work, const LinearisedNetwork& linearised,
                                         const PathChange& base, const MeterFigures& meter, MeterKind kind,
                                         Dipole probes);

// The first of the two that gives a reading.
std::optional<double> reading_in(ChangedFronts& work, const LinearisedNetwork& linearised,
                                 const Headroom& headroom, const PathChange& base, const MeterFigures& meter,
                                 MeterKind kind, Dipole probes);

// Several changes, all tests: along their paths if they change only branches and move no relay.
void read_group(Engine& engine, std::span<const std::size_t> group, std::span<const Probe> probes,
                std::span<std::vector<double>> readings);

double volts_to_amperes(const Engine& engine, const Probe& probe, double volts);
double with_meter(const Engine& engine, const Probe& probe, const OpenReading& open);

// Eight tests, all changes.
struct Block {
  SweepTests tests;
  FarTable far;
  std::span<const Probe> probes;         // of one kind, eight at most
  std::vector<Lanes> rows[sweep_lanes];  // a test's readings by change, padded
  std::vector<SweepDoubt> doubts;
  std::vector<SweepChange> near;  // changes with an end in a subtree of one of the probes
  std::vector<std::uint32_t> near_of;
  std::vector<Lanes> near_readings;

  double* row(std::size_t lane) { return rows[lane].data()->at; }
};
Block block_of(const Engine& engine, const Sweeper& sweeper);
void set_up(const Engine& engine, Sweeper& sweeper, Block& block);
void read_block(Engine& engine, Sweeper& sweeper, Block& block);
double healthy_reading(const Engine& engine, const Block& block, std::size_t lane);

}  // namespace loomgraft::readings
