// One front: its assembly, and the branches that its elimination leaves behind.
#pragma once

#include <algorithm>
#include <cstddef>
#include <vector>

#include "circuit/fronts.h"

namespace loomgraft::circuit {

// Cell of the pair (i, j), i < j, in a triangle without diagonal over `size` indices.
inline std::size_t pair_cell(std::size_t i, std::size_t j, std::size_t size) {
  return i * (2 * size - i - 1) / 2 + (j - i - 1);
}

inline std::size_t pairs_of(std::size_t size) {
  return size * (size - 1) / 2;
}

inline NodalCell cell_of(const NodalBranch& branch, bool reversed) {
  const double drive = branch.conductance * branch.emf;
  return {branch.conductance, reversed ? -drive : drive};
}

// The assembled front and the results of its elimination.
struct FrontWork {
  NodalCell* front = nullptr;  // triangle over 1 + width indices, assembled
  double* currents = nullptr;  // by index
  double* share = nullptr;     // by width
  NodalCell* update = nullptr;
  double* handed = nullptr;  // by width
};

inline void add_child(const FrontTree& tree, Position child, const NodalCell* update, const double* handed,
                      FrontWork& work, std::size_t size) {
  const std::size_t width = tree.width(child);
  const std::uint32_t* index = tree.in_parent.data() + tree.row[child];
  for (std::size_t i = 0; i < width; ++i) work.currents[index[i]] += handed[i];
  for (std::size_t i = 0; i + 1 < width; ++i) {
    NodalCell* line = work.front + pair_cell(index[i], index[i] + 1, size) - (index[i] + 1);
    for (std::size_t j = i + 1; j < width; ++j, ++update) {
      line[index[j]].conductance += update->conductance;
      line[index[j]].drive += update->drive;
    }
  }
}

struct Own {
  double each = 0.0;
  double moved = 0.0;
};

inline Own eliminate_front(FrontWork& work, std::size_t width) {
  double total = 0.0;
  double drive = work.currents[0];
  for (std::size_t i = 0; i < width; ++i) {
    total += work.front[i].conductance;
    drive += work.front[i].drive;
  }
  const double each = 1.0 / total;
  const NodalCell* rest = work.front + width;
  NodalCell* update = work.update;
  for (std::size_t i = 0; i < width; ++i) {
    const double share = work.front[i].conductance * each;
    const double drive_share = work.front[i].drive * each;
    work.share[i] = share;
    work.handed[i] = work.currents[i + 1] + share * work.currents[0];
    for (std::size_t j = i + 1; j < width; ++j, ++rest, ++update) {
      update->conductance = rest->conductance + share * work.front[j].conductance;
      update->drive = rest->drive + share * work.front[j].drive - drive_share * work.front[j].conductance;
    }
  }
  return {each, drive * each};
}

// The reference's index is the last of every front; its current is not used.
inline FrontWork resize_front(std::vector<NodalCell>& cells, std::vector<double>& currents,
                              std::size_t size) {
  cells.assign(pairs_of(size), {});
  currents.assign(size, 0.0);
  FrontWork work;
  work.front = cells.data();
  work.currents = currents.data();
  return work;
}

}  // namespace loomgraft::circuit
