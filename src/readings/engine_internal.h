// What the parts of fault_dictionary() share: the engine of one network and its changes, and a block of
// tests.
#pragma once

#include <map>
#include <memory>
#include <span>
#include <utility>
#include <vector>

#include "readings/dictionary_internal.h"

namespace loomgraft::readings {

// A test as a dipole of the settled network. `ideal`: its volts with no meter beside it; for amperes those
// across the clamped branch, and for tests whose meter is part of the network.
struct Probe {
  DictionaryTest test;
  Dipole dipole;
  bool ideal = false;
  std::size_t at = 0;           // position among the tests
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
  std::size_t bent = 0;  // of Settled::bent
  int piece = 0;
};

// A change as branches of a settled network that take other values.
struct PathChange {
  std::vector<std::size_t> branches;
  std::vector<NodalBranch> values;
  std::vector<TurnedPiece> turned;
};

// Places in the circuit's resistors for bridges between two nodes, open until a change makes them.
using HeldOpen = std::map<std::pair<NodeId, NodeId>, std::size_t>;

struct RoomyStep {
  std::unique_ptr<const Settled> settled;
  std::unique_ptr<ChangedFronts> work;  // of it
};

// The network once more with such places, for a few changes that the sweep has no answer to: with places for
// all of them at once every path would be long.
struct Roomy {
  LoomNetwork network;
  HeldOpen held_open;
  std::vector<RoomyStep> steps;  // of the relays, the last at rest
  std::vector<Position> island;  // by position of the last: one of those it is joined to
};

struct Engine {
  const LoomNetwork* network = nullptr;
  std::unique_ptr<LoomNetwork> bared;  // the same without what costs to copy, once that is asked for
  std::span<const NetworkChange> changes;
  std::vector<LoweredChange> lowered;
  std::vector<std::size_t> in_full;  // changes that the sweep does not answer
  std::vector<RelayStep> steps;      // none where nothing bends
  Settled settled;
  MeterFigures meter;
  const SweepKernel* kernel = nullptr;
  Solver solver;
  DictionaryCount count;
  std::stop_token stop{};
};

// The relays must take the same way under a change, step by step. `network` must outlive the engine.
tl::expected<Engine, Problem> engine_of(const LoomNetwork& network, std::span<const NetworkChange> changes,
                                        const SweepKernel& kernel);
const LoomNetwork& bare_network(Engine& engine);
// By change; nowhere for what is in full.
std::vector<Dipole> dipoles_of(const Engine& engine);
FarTable far_table(const Engine& engine, const Crown& crown);

Probe probe_of(const LoomNetwork& network, const Settled& settled, const DictionaryTest& test,
               std::size_t at);
double read_in_full(Engine& engine, const LoomNetwork& network, const Probe& probe);
// One change, all tests: the changed network solved. `tree`: of one that joins the same nodes, if at hand.
void read_solved(Engine& engine, LoomNetwork network, std::shared_ptr<const FrontTree> tree,
                 std::span<const Probe> probes, std::span<double> readings);

// The change with every element on its piece; nothing where a relay would move, or it takes too much work.
std::optional<PathChange> fitted(const Settled& settled, const PathChange& laid, ChangedFronts& work);
// With volts by position.
Rooms rooms_under(const Settled& settled, std::span<const double> volts, const PathChange& change);

// As settled_reading() where the meter itself turns something: what its current puts on another piece is put
// there until all fits. `base` is the change that `work` stands in, and stands in again afterwards. Nothing
// where a relay would move.
std::optional<double> reading_with_meter(ChangedFronts& work, const Settled& settled, const PathChange& base,
                                         const MeterFigures& meter, MeterKind kind, Dipole probes);

// The first of the two that answers.
std::optional<double> reading_in(ChangedFronts& work, const Settled& settled, const Rooms& rooms,
                                 const PathChange& base, const MeterFigures& meter, MeterKind kind,
                                 Dipole probes);

// Several changes, all tests: along their paths where they are changes of branches and move no relay.
void read_group(Engine& engine, std::span<const std::size_t> group, std::span<const Probe> probes,
                std::span<std::vector<double>> readings);

double volts_to_amperes(const Engine& engine, const Probe& probe, double volts);
double with_meter(const Engine& engine, const Probe& probe, const OpenReading& open);

// Eight tests, all changes.
struct Block {
  SweepTests tests;
  FarTable far;
  std::span<const Probe> probes;         // of one kind, eight at most
  std::vector<Lanes> rows[sweep_lanes];  // a test's readings by change, filled up
  std::vector<SweepDoubt> doubts;
  std::vector<SweepChange> near;  // changes with an end in a twig of one of the probes
  std::vector<std::uint32_t> near_of;
  std::vector<Lanes> near_readings;

  double* row(std::size_t lane) { return rows[lane].data()->at; }
};
Block block_of(const Engine& engine, const Sweeper& sweeper);
void set_up(const Engine& engine, Sweeper& sweeper, Block& block);
void read_block(Engine& engine, Sweeper& sweeper, Block& block);
double healthy_reading(const Engine& engine, const Block& block, std::size_t lane);

}  // namespace loomgraft::readings
