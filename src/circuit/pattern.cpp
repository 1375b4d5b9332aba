#include "circuit/pattern.h"

#include <algorithm>

namespace loomgraft {
namespace {

using Edge = std::pair<std::uint32_t, std::uint32_t>;

// A node whose row, and every row after it, is at least this full is in the triangle.
constexpr double full_enough = 0.6;

std::vector<Edge> edges_of(std::span<const NodalBranch> branches) {
  std::vector<Edge> edges;
  edges.reserve(branches.size());
  for (const NodalBranch& branch : branches) {
    if (branch.a != branch.b && branch.a != 0 && branch.b != 0) edges.emplace_back(branch.a, branch.b);
  }
  return edges;
}

// By position: the later positions that it is joined to in the circuit, unsorted, perhaps many times.
struct Later {
  std::vector<std::uint32_t> first;
  std::vector<std::uint32_t> at;
};

Later later_of(std::span<const Edge> edges, std::span<const std::uint32_t> position, std::uint32_t last) {
  Later later;
  later.first.assign(last + 1, 0);
  for (const auto& [a, b] : edges) ++later.first[std::min(position[a], position[b]) + 1];
  for (std::size_t k = 0; k < last; ++k) later.first[k + 1] += later.first[k];
  later.at.resize(edges.size());
  std::vector<std::uint32_t> next(later.first.begin(), later.first.end() - 1);
  for (const auto& [a, b] : edges) {
    const auto [low, high] = std::minmax(position[a], position[b]);
    later.at[next[low]++] = high;
  }
  return later;
}

// Rows with fill: what a node is joined to, and what its children in the elimination tree hand on.
void find_rows(NodalPattern& pattern, const Later& later) {
  const std::uint32_t last = pattern.node_count - 1;
  std::vector<std::uint32_t> marked(last + 1, last);
  std::vector<std::uint32_t> child(last + 1, last);    // first child; last is none
  std::vector<std::uint32_t> sibling(last + 1, last);  // next child of the same parent
  pattern.row.assign(1, 0);
  pattern.row.reserve(last + 1);
  pattern.to.clear();
  pattern.to.reserve(later.at.size() * 2 + last);
  for (std::uint32_t k = 0; k < last; ++k) {
    const auto add = [&](std::uint32_t at) {
      if (at == k || at == last || marked[at] == k) return;
      marked[at] = k;
      pattern.to.push_back(at);
    };
    for (std::uint32_t i = later.first[k]; i < later.first[k + 1]; ++i) add(later.at[i]);
    for (std::uint32_t c = child[k]; c != last; c = sibling[c]) {
      for (std::uint32_t i = pattern.row[c]; i < pattern.row[c + 1]; ++i) add(pattern.to[i]);
    }
    const auto begin = pattern.to.begin() + pattern.row[k];
    std::sort(begin, pattern.to.end());
    if (begin != pattern.to.end()) {
      const std::uint32_t parent = *begin;
      sibling[k] = child[parent];
      child[parent] = k;
    }
    pattern.to.push_back(last);
    pattern.row.push_back(static_cast<std::uint32_t>(pattern.to.size()));
  }
}

void cut_off_tail(NodalPattern& pattern) {
  const std::uint32_t last = pattern.node_count - 1;
  std::uint32_t start = last;
  while (start > 0) {
    const double held = pattern.row[start] - pattern.row[start - 1] - 1;
    if (held < full_enough * (last - start)) break;
    --start;
  }
  pattern.tail_start = start;
  pattern.row.resize(start + 1);
  pattern.to.resize(pattern.row[start]);
  const std::uint32_t side = pattern.tail() + 1;
  pattern.cell_count = pattern.row[start] + side * side;
}

std::uint32_t tail_cell(const NodalPattern& pattern, std::uint32_t early, std::uint32_t late) {
  // The node eliminated last has index 1 in the triangle, the reference 0.
  const std::uint32_t last = pattern.node_count - 1;
  return pattern.row.back() + (last - early) * (pattern.tail() + 1) + (last - late);
}

std::uint32_t cell_of(const NodalPattern& pattern, std::uint32_t early, std::uint32_t late) {
  if (early >= pattern.tail_start) return tail_cell(pattern, early, late);
  const auto begin = pattern.to.begin() + pattern.row[early];
  const auto end = pattern.to.begin() + pattern.row[early + 1];
  return static_cast<std::uint32_t>(std::lower_bound(begin, end, late) - pattern.to.begin());
}

void find_mesh(NodalPattern& pattern) {
  std::vector<std::uint32_t> cell(pattern.node_count, 0);  // of the row in hand, by later position
  std::size_t pairs = 0;
  for (std::uint32_t k = 0; k < pattern.tail_start; ++k) {
    const std::size_t held = pattern.row[k + 1] - pattern.row[k];
    pairs += held * (held - 1) / 2;
  }
  pattern.mesh.clear();
  pattern.mesh.reserve(pairs);
  for (std::uint32_t k = 0; k < pattern.tail_start; ++k) {
    const std::uint32_t end = pattern.row[k + 1];
    for (std::uint32_t i = pattern.row[k]; i + 1 < end; ++i) {
      const std::uint32_t early = pattern.to[i];
      if (early < pattern.tail_start && end - i > 3) {
        for (std::uint32_t at = pattern.row[early]; at < pattern.row[early + 1]; ++at)
          cell[pattern.to[at]] = at;
        for (std::uint32_t j = i + 1; j < end; ++j) pattern.mesh.push_back(cell[pattern.to[j]]);
      } else {
        for (std::uint32_t j = i + 1; j < end; ++j)
          pattern.mesh.push_back(cell_of(pattern, early, pattern.to[j]));
      }
    }
  }
}

void place_branches(NodalPattern& pattern, std::span<const NodalBranch> branches) {
  pattern.ends.clear();
  pattern.ends.reserve(branches.size());
  pattern.branch_cell.clear();
  pattern.branch_cell.reserve(branches.size());
  pattern.branch_reversed.assign(branches.size(), false);
  for (std::size_t k = 0; k < branches.size(); ++k) {
    const NodalBranch& branch = branches[k];
    pattern.ends.emplace_back(branch.a, branch.b);
    const std::uint32_t a = pattern.position[branch.a];
    const std::uint32_t b = pattern.position[branch.b];
    pattern.branch_cell.push_back(a == b ? no_cell : cell_of(pattern, std::min(a, b), std::max(a, b)));
    pattern.branch_reversed[k] = a > b;
  }
}

}  // namespace

bool is_pattern_of(const NodalPattern& pattern, std::span<const NodalBranch> branches,
                   std::uint32_t node_count) {
  return pattern.node_count == node_count &&
         std::equal(branches.begin(), branches.end(), pattern.ends.begin(), pattern.ends.end(),
                    [](const NodalBranch& branch, const Edge& ends) {
                      return branch.a == ends.first && branch.b == ends.second;
                    });
}

NodalPattern rows_of(std::span<const NodalBranch> branches, std::uint32_t node_count) {
  NodalPattern pattern;
  pattern.node_count = node_count;
  const std::vector<Edge> edges = edges_of(branches);
  const std::vector<std::uint32_t> order = elimination_order(edges, node_count);
  pattern.position.assign(node_count, node_count - 1);
  for (std::uint32_t k = 0; k < order.size(); ++k) pattern.position[order[k]] = k;
  find_rows(pattern, later_of(edges, pattern.position, node_count - 1));
  pattern.tail_start = node_count - 1;
  pattern.cell_count = pattern.row.back();
  return pattern;
}

NodalPattern pattern_of(std::span<const NodalBranch> branches, std::uint32_t node_count) {
  NodalPattern pattern = rows_of(branches, node_count);
  cut_off_tail(pattern);
  find_mesh(pattern);
  place_branches(pattern, branches);
  return pattern;
}

}  // namespace loomgraft
