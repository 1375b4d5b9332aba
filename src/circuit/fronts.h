// The linear kernel for circuits that are solved many times: a stored factorisation in which a few branches
// can take other values, and only what depends on them is eliminated again.
//
// Model   as nodal.h: branches with a source in series, currents injected. Nodes by position in the order of
//         their elimination, the reference last, at `count`. The star of each node with the branches that its
//         elimination makes is a front; fronts form the elimination tree (multifrontal: Duff and Reid 1983,
//         ACM Transactions on Mathematical Software 9), so a changed branch affects only those above it.
// Needs   conductances >= 0
// Gives   potentials; the resistance of dipoles; the same with branches changed. Sums of positive numbers
//         throughout (star-mesh): nothing is subtracted, so an opened joint costs no digit.
// Fails   not-a-number where a node has no path to the reference
// Cost    linear in the sum of squared row lengths; a dipole or a changed branch costs its path to the root
#pragma once

#include <cstdint>
#include <span>
#include <vector>

#include "circuit/pattern.h"

namespace loomgraft {

using Position = std::uint32_t;

struct FrontTree {
  Position count = 0;              // nodes without the reference
  std::vector<Position> position;  // by node
  std::vector<std::uint32_t> row;  // by position: its first cell; one more at the end
  std::vector<Position> to;        // by cell: the later position; the last of each row is the reference
  std::vector<Position> parent;    // count: none
  std::vector<std::uint32_t> first_child;  // by position, one more at the end
  std::vector<Position> children;
  std::vector<std::uint32_t> in_parent;    // by cell: its index in the parent's front
  std::vector<std::size_t> first_update;   // by position: of its cells in Fronts::update
  std::vector<std::uint32_t> branch_cell;  // by branch; no_cell for one whose ends are one node
  std::vector<bool> branch_reversed;
  std::vector<Position> branch_home;        // by branch: the position of the end eliminated first
  std::vector<std::uint32_t> first_branch;  // by cell, one more at the end: the branches in it
  std::vector<std::uint32_t> cell_branches;
  std::vector<double> path_cost;  // by position: the work of eliminating it and all above again, or infinity

  // Branches that the elimination of a very wide row makes are not kept, so nothing under it changes alone.
  static constexpr std::size_t widest_kept = 96;
  bool is_kept(Position k) const { return width(k) <= widest_kept; }
  std::size_t width(Position k) const { return row[k + 1] - row[k]; }
};

FrontTree front_tree_of(std::span<const NodalBranch> branches, std::uint32_t node_count);

struct Fronts {
  std::vector<NodalBranch> branches;
  std::vector<double> injected;     // by position
  std::vector<NodalCell> original;  // by cell, before anything is eliminated
  std::vector<double> share;        // by cell: of the node's current that goes there
  std::vector<double> each;         // by position: one over the sum of its conductances
  std::vector<double> moved;        // by position: its potential, were all later nodes at zero
  std::vector<NodalCell> update;    // the branches that each elimination makes
  std::vector<double> handed;       // by cell: the current that elimination hands on
  std::vector<double> potential;    // by position, the reference too
};

// `injected` by node, current into it.
Fronts factor(const FrontTree& tree, std::span<const NodalBranch> branches, std::span<const double> injected);

// By cell: the resistance between its node and the later one (the reference too), all other nodes free. From
// the last front down, as the entries of an inverse within a factor's pattern (Takahashi, Fagan and
// Chen 1973), but of resistances, which no leakage makes large. Empty where rows are too wide to keep.
std::vector<double> pair_resistances(const FrontTree& tree, const Fronts& fronts);

// One ampere into `plus` and out of `minus`, as far as elimination carries it: path positions ascending.
struct Dipole {
  Position plus = 0;
  Position minus = 0;
};
struct Carried {
  std::vector<Position> path;
  std::vector<double> current;  // by path
};

// The factorisation with some branches changed. Keeps scratch; one object may serve many changes in turn.
class ChangedFronts {
 public:
  ChangedFronts(const FrontTree& tree, const Fronts& fronts);

  // From now on the branches named have these values and the others those of the factorisation.
  void change(std::span<const std::size_t> branches, std::span<const NodalBranch> values);
  void restore();

  void carry(Dipole dipole, Carried& result);
  // Through `one` and back through `other`.
  void carry_difference(Dipole one, Dipole other, Carried& result);
  double resistance(const Carried& carried) const;
  // Volts across one dipole for an ampere through the other.
  double transfer(const Carried& one, const Carried& other);
  // The error of transfer(), in units of the relative error of an ampere.
  double transfer_rounding(const Carried& one, const Carried& other) const;
  double volts(Dipole dipole);
  // By position, the reference too; good until the next change.
  std::span<const double> all_volts();
  // Volts at every position for an ampere through the dipole.
  void response(Dipole dipole, std::vector<double>& volts);

 private:
  struct Front {
    std::vector<double> share;
    std::vector<NodalCell> update;
    std::vector<double> handed;
    double each = 0.0;
    double moved = 0.0;
    double potential = 0.0;
  };
  void carry_currents(std::span<Position> starts, Carried& result);
  void eliminate_again(Position k, std::span<const std::size_t> branches,
                       std::span<const NodalBranch> values);
  NodalCell cell_value(std::uint32_t cell, std::span<const std::size_t> branches,
                       std::span<const NodalBranch> values) const;
  double each_at(Position k) const {
    const Front* own = changed_at(k);
    return own ? own->each : fronts_.each[k];
  }
  const Front* changed_at(Position k) const { return slot_[k] ? &fronts_here_[slot_[k] - 1] : nullptr; }
  double potential_at(Position k) const;
  double potential_from_above(Position k) const;

  const FrontTree& tree_;
  const Fronts& fronts_;
  std::vector<std::uint32_t> slot_;  // by position: 1 + index in fronts_here_, 0 for unchanged
  std::vector<Position> path_;       // changed positions, ascending
  std::vector<Front> fronts_here_;
  std::vector<NodalCell> scratch_;
  std::vector<double> scratch_currents_;
  std::vector<double> currents_;  // by position, zero between calls
  std::vector<Position> walk_;    // of potential_at()
  Carried response_;
  std::vector<double> potentials_;  // by position, valid along the last walk
};

}  // namespace loomgraft
