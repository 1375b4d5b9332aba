// What the parts of fault_dictionary() share: the engine of one network and its changes, and a block of
// tests.
#pragma once

#include <memory>
#include <span>
#include <vector>

#include "network/fault_dictionary_internal.h"

namespace loomgraft {

// A test as a dipole of the settled network. `ideal`: its volts with no meter beside it; for amperes those
// across the clamped branch, and for tests whose meter is part of the network.
struct Probe {
  DictionaryTest test;
  Dipole dipole;
  bool ideal = false;
  std::size_t at = 0;  // position among the tests
};

struct FarTable {
  std::vector<FarChange> at;
  std::vector<FarBound> bound;
  std::vector<FarGroup> groups;
  FarChanges view() const { return {groups, at.data(), bound.data()}; }
};

struct Engine {
  const LoomNetwork* network = nullptr;
  std::unique_ptr<LoomNetwork> bared;  // the same without what costs to copy, once that is asked for
  std::span<const NetworkChange> changes;
  std::vector<LoweredChange> lowered;
  std::vector<std::size_t> in_full;  // changes
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
// One change, all tests.
void read_under(Engine& engine, std::size_t change, std::span<const Probe> probes,
                std::span<double> readings);

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

}  // namespace loomgraft
