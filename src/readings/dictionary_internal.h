// What the parts of the fault dictionary share: the linearised network, its changes, the sweep and the meter.
#pragma once

#include <memory>
#include <optional>
#include <set>
#include <span>
#include <utility>
#include <vector>

#include "base/stop.h"
#include "circuit/cocontent.h"
#include "circuit/fronts.h"
#include "circuit/law.h"
#include "network/relay_steps.h"
#include "readings/core_internal.h"
#include "readings/dictionary.h"
#include "readings/sweep_internal.h"

namespace loomgraft::readings {

// Two nodes whose volts must stay between two limits; beyond them an element is on another piece or a relay
// moves.
inline constexpr std::size_t no_element = static_cast<std::size_t>(-1);
struct WatchedPair {
  NodeId a;
  NodeId b;
  double low = 0.0;
  double high = 0.0;
  std::size_t nonlinear = no_element;  // of LinearisedNetwork::nonlinear; none for the coil of a relay
  double volts = 0.0;
};

// By watched pair: the reciprocal of its headroom, the distance of its volts to the nearer limit.
struct Headroom {
  std::vector<double> per_headroom;
  double most = 0.0;

  void add(const WatchedPair& one, double volts);
};

// The range of volts of a piece.
std::pair<double, double> limits_of(const Law& law, int piece);

// A network with every nonlinear element on the piece, and every relay in the position, of one step of a
// solution: linear as long as all watched pairs stay within their limits.
struct LinearisedNetwork {
  std::vector<NodalBranch> branches;        // resistors, sources, diodes, as in the circuit
  std::vector<double> held;                 // by branch: its current beside that of the conductance
  std::vector<PiecewiseElement> nonlinear;  // each on one piece of its law
  std::vector<WatchedPair> watched;
  Headroom headroom;
  std::shared_ptr<const FrontTree> tree;
  Fronts fronts;
  std::vector<double> pair_ohms;  // pair_resistances(), after find_pairs()
  bool dead = true;               // nothing in it drives a current
  bool rests = true;              // no relay oscillates

  Dipole dipole(NodeId a, NodeId b) const { return {tree->position[a.value], tree->position[b.value]}; }
  Dipole dipole_of(std::size_t branch) const { return dipole({branches[branch].a}, {branches[branch].b}); }
};

// Factors it, from its branches and their held currents.
void factor_on(LinearisedNetwork& linearised, std::shared_ptr<const FrontTree> tree);
void find_pairs(LinearisedNetwork& linearised);
// Between two nodes; at no cost for the ends of a branch, or if one is the reference. `carried`: scratch.
double ohms_between(const LinearisedNetwork& linearised, Dipole dipole, ChangedFronts& work,
                    Carried& carried);

// `network` with its contacts as in the step. `tree`: of a network that joins the same nodes, if available.
LinearisedNetwork linearise(const LoomNetwork& network, const RelayStep& step,
                            std::shared_ptr<const FrontTree> tree = nullptr);

// The same found along the steps of `near`, which belong to a similar network of the same relays: in each
// step elements are moved to the piece that their volts belong to, until all are consistent. The operating
// point is unique, so that is the solution, at the cost of a factorisation or two. Nothing where that does
// not end soon, or relays oscillate: then it must be solved. Sets the network's contacts.
struct Settled {
  LinearisedNetwork linearised;
  RelayStep last;  // with the volts of nodes only
};
// `steps`: gets those on the way, the last included, as points to begin from with a network that is more alike.
std::optional<Settled> settled(LoomNetwork& network, std::span<const RelayStep> near,
                               const std::shared_ptr<const FrontTree>& tree,
                               std::vector<RelayStep>* steps = nullptr);

// Whether there are no nonlinear elements and no relays. Such a network needs no solution first; nothing if
// it has none.
bool is_linear(const LoomNetwork& network);
std::optional<LinearisedNetwork> linearise_plain(const Circuit& circuit,
                                                 std::shared_ptr<const FrontTree> tree = nullptr);

// Of a branch of LinearisedNetwork::branches.
double amperes_in(const LinearisedNetwork& linearised, std::size_t at);

std::size_t linearised_index(const LoomNetwork& network, std::size_t branch);

// The most cells to eliminate again for one change.
inline constexpr double largest_path_cost = 2e6;

// One change of one branch, or the need for a full solve.
struct LoweredChange {
  bool needs_full_solve = false;  // the sweep cannot answer it
  bool is_plain = false;          // of resistors and bridges only
  bool is_bridge = false;
  std::size_t branch = 0;  // of LinearisedNetwork::branches, unless it is a bridge
  NodeId a;
  NodeId b;
  double before = 0.0;  // conductance
  double after = 0.0;
  SweepChange sweep;

  Dipole dipole() const { return {sweep.a, sweep.b}; }
};

// Branches of the network whose value is their relay's, whatever a change says.
std::set<std::size_t> relay_contacts(const LoomNetwork& network);

// Whether it is of resistors and bridges only, and of few bridges.
bool is_plain(const LoomNetwork& network, const NetworkChange& change, const std::set<std::size_t>& contacts);

// For each change: whether it is one of a single resistor or bridge, and of which. Computes no figures yet.
std::vector<LoweredChange> lower(const LoomNetwork& network, std::span<const NetworkChange> changes);

// The figures of all changes that need no full solve; marks those for one that have too few digits left.
void weigh_changes(LinearisedNetwork& linearised, std::vector<LoweredChange>& changes);

// Marks for a full solve what carries a watched pair past a limit; the others get their strain and couple.
void watch_changes(const LinearisedNetwork& linearised, const SweepKernel& kernel,
                   std::vector<LoweredChange>& changes);

// The positions on the paths of the dipoles, ascending. Keeps its scratch.
class Reach {
 public:
  explicit Reach(const FrontTree& tree) : tree_(tree), visited_(tree.count + 1, false) {}
  std::span<const Position> of(std::span<const Dipole> dipoles);

 private:
  const FrontTree& tree_;
  std::vector<bool> visited_;
  std::vector<Position> found_;
};

// Rows without the reference's cells, as the sweep reads them.
struct SweepTable {
  std::vector<std::uint32_t> row;
  std::vector<Position> to;
  std::vector<double> share;
  std::vector<Position> everywhere;  // descending
  SweepRows rows;
};
SweepTable sweep_table(const LinearisedNetwork& linearised);

// Solves for eight dipoles at a time, as far as the items need: over the core for items in other subtrees
// than the probes, position by position for items in theirs.
struct Sweeper {
  const SweepKernel& kernel;
  SweepTable table;
  Reach reach;
  ChangedFronts work;
  TreeCore core;
  std::vector<Dipole> items;
  SubtreeIndex near;
  std::vector<Lanes> z;                 // of the last solve
  std::vector<std::uint32_t> lanes_in;  // by subtree: of the last solve, bits of those with a probe in it
  std::vector<std::uint32_t> touched;   // subtrees with a probe
  std::vector<Dipole> watched;
  std::vector<double> per_headroom;

  Sweeper(const LinearisedNetwork& linearised, const SweepKernel& chosen, std::vector<Dipole> asked);
  Dipole nowhere() const { return {table.rows.count, table.rows.count}; }
  // Also sets, in `tests`, the largest |z| in the core, and the largest share of any watched pair's headroom
  // that an ampere through each dipole takes.
  void solve(SweepDipoles& dipoles, SweepTests& tests);
  // Sets only the latter.
  void solve_everywhere(SweepDipoles& dipoles, Lanes& couple);
  // Bits of the lanes whose probes are in a subtree of the dipole.
  std::uint32_t lanes_near(Dipole dipole) const;
  double across(Dipole dipole, std::size_t lane) const;

 private:
  void touch(const SweepDipoles& dipoles);
  void find_fill();
  std::vector<Position> fill;
  std::vector<bool> filled;
};

// The meter's figures, from data/.
struct MeterFigures {
  double conductance = 0.0;  // in volts
  double volts = 0.0;        // in ohms
  double ohms = 0.0;
  double amperes = 0.0;

  // The largest current that it drives or draws at `reading`, of its kind.
  double current(MeterKind kind, double reading) const;
  // In ohms: the current it drives into red, and the reading, with so many volts across it.
  double amperes_at(double across) const;
  double shown_ohms(double across) const;
  // In ohms: the volts across it between nodes that have open volts and a resistance of their own.
  double volts_across(double open_volts, double between) const;
};
MeterFigures meter_figures();

// One test and one change with every digit that the network has, if that is possible without a full solve;
// volts and ohms without the meter's load.
struct OpenReading {
  double volts = 0.0;
  double ohms = 0.0;
};
std::optional<OpenReading> closer_reading(ChangedFronts& work, const LinearisedNetwork& linearised,
                                          Dipole test, const LoweredChange& change);

// The meter's reading, in volts or ohms; nothing if the meter, or a source in the network, calls for a full
// solve.
std::optional<double> linear_reading(ChangedFronts& work, const LinearisedNetwork& linearised,
                                     const Headroom& headroom, const MeterFigures& meter, MeterKind kind,
                                     Dipole probes);

std::optional<Problem> check_tests(const LoomNetwork& network, std::span<const DictionaryTest> tests);

// fault_dictionary() with a chosen kernel.
tl::expected<DictionaryCount, Problem> fault_dictionary_by(
    const SweepKernel& kernel, const LoomNetwork& network, std::span<const DictionaryTest> tests,
    std::span<const NetworkChange> changes, const TakeReadings& take, const StopToken& stop = {});

// A copy with only what a solution needs: without names, probe points and texts.
LoomNetwork bare(const LoomNetwork& network);

}  // namespace loomgraft::readings
