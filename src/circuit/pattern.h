// The order of elimination and the cells that it fills; both depend only on the ends of a circuit's branches.
//
// Model   nodes are eliminated by position; the reference comes last. A row holds one cell for each later
//         node that its node is joined to when it is eliminated, the reference's cell at its end. The last
//         `tail` nodes, nearly all joined to each other, are in a full triangle after the rows.
// Needs   branches whose ends are below node_count
// Cost    near linear for looms: nodes with at most two neighbours, nearly all of them, are eliminated first,
//         the rest is ordered by approximate minimum degree (AMD: Amestoy, Davis and Duff 2004)
#pragma once

#include <cstdint>
#include <span>
#include <utility>
#include <vector>

namespace loomgraft {

struct NodalBranch {
  std::uint32_t a = 0;
  std::uint32_t b = 0;
  double conductance = 0.0;
  double emf = 0.0;
};

// A branch from the node eliminated earlier to the later one; `drive` is conductance * emf.
struct NodalCell {
  double conductance = 0.0;
  double drive = 0.0;
};

struct NodalPattern {
  std::uint32_t node_count = 0;
  std::vector<std::pair<std::uint32_t, std::uint32_t>> ends;  // of the branches it was made for

  std::vector<std::uint32_t> position;  // by node: its position; the reference's is node_count - 1
  std::vector<std::uint32_t> row;       // by position below `tail_start`: its first cell; one more at the end
  std::vector<std::uint32_t> to;        // by cell of the rows: position of the later node
  std::vector<std::uint32_t> mesh;      // cells that each elimination adds to, pair by pair in row order
  std::vector<std::uint32_t> branch_cell;  // by branch
  std::vector<bool> branch_reversed;       // by branch: runs from the later node to the earlier
  std::uint32_t tail_start = 0;            // position of the first node in the triangle
  std::uint32_t cell_count = 0;

  std::uint32_t tail() const { return node_count - 1 - tail_start; }
};

inline constexpr std::uint32_t no_cell = 0xffffffff;  // of a branch whose ends are one node

bool is_pattern_of(const NodalPattern& pattern, std::span<const NodalBranch> branches,
                   std::uint32_t node_count);
NodalPattern pattern_of(std::span<const NodalBranch> branches, std::uint32_t node_count);
// Order and rows only: no triangle, no mesh, no branches.
NodalPattern rows_of(std::span<const NodalBranch> branches, std::uint32_t node_count);

// The nodes without the reference in the order of their elimination. `edges` may name a pair many times.
std::vector<std::uint32_t> elimination_order(std::span<const std::pair<std::uint32_t, std::uint32_t>> edges,
                                             std::uint32_t node_count);

}  // namespace loomgraft
