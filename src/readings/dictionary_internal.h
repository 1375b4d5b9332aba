// What the parts of the fault dictionary share.
#pragma once

#include <memory>
#include <optional>
#include <set>
#include <span>
#include <utility>
#include <vector>

#include "circuit/law.h"
#include "readings/dictionary.h"
#include "readings/core_internal.h"
#include "readings/sweep_internal.h"
#include "circuit/fronts.h"
#include "network/relay_steps.h"

namespace loomgraft::readings {

// Two nodes whose volts must stay between two limits, or some element or relay would behave otherwise.
inline constexpr std::size_t no_bent = static_cast<std::size_t>(-1);
struct Watched {
  NodeId a;
  NodeId b;
  double low = 0.0;
  double high = 0.0;
  std::size_t bent = no_bent;  // of Settled::bent; none for the coil of a relay
  double volts = 0.0;
};

// By watched pair: one over the distance to its nearer limit. It shrinks under a change.
struct Rooms {
  std::vector<double> per_room;
  double most = 0.0;

  void add(const Watched& one, double volts);
};

// An element with a law of several pieces, on one of them.
struct Bent {
  std::size_t branch = 0;  // of Settled::branches
  Law law;
  int piece = 0;
};
// From where to where the piece reaches.
std::pair<double, double> limits_of(const Law& law, int piece);

// A network with every bent element on the piece, and every relay in the position, that it has in one step of
// a solution: linear as long as all that is watched stays within its limits.
struct Settled {
  std::vector<NodalBranch> branches;  // resistors, sources, diodes, as in the circuit
  std::vector<double> held;           // by branch: current beside that of the conductance
  std::vector<Bent> bent;
  std::vector<Watched> watched;
  Rooms rooms;
  std::shared_ptr<const FrontTree> tree;
  Fronts fronts;
  std::vector<double> pair_ohms;  // pair_resistances(), once find_pairs() was called
  bool dead = true;               // nothing in it drives a current
  bool rests = true;              // no relay swings

  Dipole dipole(NodeId a, NodeId b) const { return {tree->place[a.value], tree->place[b.value]}; }
  Dipole dipole_of(std::size_t branch) const { return dipole({branches[branch].a}, {branches[branch].b}); }
};

// Its fronts, from its branches and what they hold.
void factor_on(Settled& settled, std::shared_ptr<const FrontTree> tree);
void find_pairs(Settled& settled);
// Between two nodes; at once where they are the ends of a branch, or one is the reference. `carried`:
// scratch.
double ohms_between(const Settled& settled, Dipole dipole, ChangedFronts& work, Carried& carried);

// `network` with its contacts as in the step. `tree`: of a network that joins the same nodes, if at hand.
Settled settle(const LoomNetwork& network, const RelayStep& step,
               std::shared_ptr<const FrontTree> tree = nullptr);

// Whether nothing bends and no relay moves: such a network is settled without a solution of it, if it has
// one.
bool is_straight(const LoomNetwork& network);
std::optional<Settled> settle_straight(const Circuit& circuit,
                                       std::shared_ptr<const FrontTree> tree = nullptr);

std::size_t place_in_settled(const LoomNetwork& network, std::size_t branch);

// Cells to go through again for one change, at most.
inline constexpr double longest_climb = 2e6;

// One change of one branch, or what else it takes.
struct LoweredChange {
  bool in_full = false;   // the sweep has no answer to it
  bool is_plain = false;  // of resistors and bridges alone
  bool is_bridge = false;
  std::size_t branch = 0;  // of Settled::branches, where it is none
  NodeId a;
  NodeId b;
  double before = 0.0;  // conductance
  double after = 0.0;
  SweepChange sweep;

  Dipole dipole() const { return {sweep.a, sweep.b}; }
};

// Branches of the network that take the value of their relay, whatever a change says.
std::set<std::size_t> relay_contacts(const LoomNetwork& network);

// Whether it is of resistors and bridges alone, and of few of them.
bool is_plain(const LoomNetwork& network, const NetworkChange& change, const std::set<std::size_t>& contacts);

// Of each change whether it is one of a single resistor's value, and which. No figures yet.
std::vector<LoweredChange> lower(const LoomNetwork& network, std::span<const NetworkChange> changes);

// The figures of all changes that are not in full; marks those in full of which too few digits are left.
void weigh_changes(Settled& settled, std::vector<LoweredChange>& changes);

// Marks in full what carries a watched pair over a limit; the others get their strain and couple.
void watch_changes(const Settled& settled, const SweepKernel& kernel, std::vector<LoweredChange>& changes);

// The positions that any of the dipoles reaches, ascending. Keeps its scratch.
class Reach {
 public:
  explicit Reach(const FrontTree& tree) : tree_(tree), seen_(tree.count + 1, false) {}
  std::span<const Position> of(std::span<const Dipole> dipoles);

 private:
  const FrontTree& tree_;
  std::vector<bool> seen_;
  std::vector<Position> found_;
};

// Rows without the reference's cells, as the sweep wants them.
struct SweepTable {
  std::vector<std::uint32_t> row;
  std::vector<Position> to;
  std::vector<double> share;
  std::vector<Position> everywhere;  // descending
  SweepRows rows;
};
SweepTable sweep_table(const Settled& settled);

// Solves for eight dipoles at a time, as far as it takes to tell what they do to the items: from the crown
// where a probe's twig is not the item's, and position by position where it is.
struct Sweeper {
  const SweepKernel& kernel;
  SweepTable table;
  Reach reach;
  ChangedFronts work;
  Crown crown;
  std::vector<Dipole> items;
  TwigIndex near;
  std::vector<Lanes> z;                 // of the last solve
  std::vector<std::uint32_t> lanes_in;  // by twig: of the last solve, bits of those with a probe in it
  std::vector<std::uint32_t> touched;   // twigs with a probe
  std::vector<Dipole> watched;
  std::vector<double> per_room;

  Sweeper(const Settled& settled, const SweepKernel& chosen, std::vector<Dipole> asked);
  Dipole nowhere() const { return {table.rows.count, table.rows.count}; }
  // Tells `tests` the crown's largest, and the most that an ampere through each dipole takes of any watched
  // pair's room.
  void solve(SweepDipoles& dipoles, SweepTests& tests);
  // Tells the latter alone.
  void solve_everywhere(SweepDipoles& dipoles, Lanes& couple);
  // Those whose probes are in a twig of the dipole, so that it is not far from them.
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

  // The most current that it drives or draws across `reading`, of its kind.
  double current(MeterKind kind, double reading) const;
  // What it drives into red in ohms, and shows, with so many volts across it.
  double amperes_at(double across) const;
  double shown_ohms(double across) const;
  // The volts across it in ohms where what it meets has volts and a resistance of its own.
  double volts_across(double open_volts, double between) const;
};
MeterFigures meter_figures();

// One test and one change to all the digits that the network has, if that can be had without a solution of
// the whole; volts and ohms before the meter loads them.
struct OpenReading {
  double volts = 0.0;
  double ohms = 0.0;
};
std::optional<OpenReading> closer_reading(ChangedFronts& work, const Settled& settled, Dipole test,
                                          const LoweredChange& change);

// What the meter shows, in volts or ohms; nothing where it, or what drives the network, asks for a full
// solution.
std::optional<double> settled_reading(ChangedFronts& work, const Settled& settled, const Rooms& rooms,
                                      const MeterFigures& meter, MeterKind kind, Dipole probes);

std::optional<Problem> check_tests(const LoomNetwork& network, std::span<const DictionaryTest> tests);

// fault_dictionary() with a kernel of one's choice.
tl::expected<DictionaryCount, Problem> fault_dictionary_by(
    const SweepKernel& kernel, const LoomNetwork& network, std::span<const DictionaryTest> tests,
    std::span<const NetworkChange> changes, const TakeReadings& take, const std::stop_token& stop = {});

// What the solution of a changed network needs and no more: names, places and words left out.
LoomNetwork bare(const LoomNetwork& network);

}  // namespace loomgraft::readings
