#include "circuit/nodal.h"

#include <cmath>
#include <cstddef>

namespace loomgraft::circuit {
namespace {

// A triangle: row k holds the branches from node k to nodes 0..k-1, 0 being the reference. Eliminating the
// last node spreads its star over its neighbours: only sums and products of positive conductances. The emf of
// a new branch is the sum of the two that it replaces, so none is ever a small difference of large currents.
bool eliminate(NodalCell* matrix, double* injected, std::size_t count) {
  for (std::size_t k = count; k-- > 1;) {
    NodalCell* row = matrix + k * count;
    double total = 0.0;
    for (std::size_t j = 0; j < k; ++j) total += row[j].conductance;
    if (!(total > 0.0)) return false;
    row[k].conductance = total;
    for (std::size_t i = 1; i < k; ++i) {
      const double share = row[i].conductance / total;
      if (share == 0.0) continue;
      const double drive = row[i].drive / total;
      injected[i] += share * injected[k];
      NodalCell* other = matrix + i * count;
      for (std::size_t j = 0; j < i; ++j) {
        other[j].conductance += share * row[j].conductance;
        other[j].drive += share * row[j].drive - drive * row[j].conductance;
      }
    }
  }
  return true;
}

// `injected` becomes the voltages.
void substitute(const NodalCell* matrix, double* injected, std::size_t count) {
  injected[0] = 0.0;
  for (std::size_t k = 1; k < count; ++k) {
    const NodalCell* row = matrix + k * count;
    double current = injected[k];
    for (std::size_t j = 0; j < k; ++j) current += row[j].conductance * injected[j] + row[j].drive;
    injected[k] = current / row[k].conductance;
  }
}

bool solve_dense(std::span<const NodalBranch> branches, std::span<const double> injected, NodalWork& work,
                 std::vector<double>& volts) {
  const std::size_t count = injected.size();
  work.cells.assign(count * count, {});
  volts.assign(injected.begin(), injected.end());
  for (const NodalBranch& branch : branches) {
    if (branch.a == branch.b) continue;
    const bool down = branch.a > branch.b;
    const std::size_t high = down ? branch.a : branch.b;
    const std::size_t low = down ? branch.b : branch.a;
    NodalCell& cell = work.cells[high * count + low];
    const double drive = branch.conductance * branch.emf;
    cell.conductance += branch.conductance;
    cell.drive += down ? drive : -drive;
  }
  if (!eliminate(work.cells.data(), volts.data(), count)) return false;
  substitute(work.cells.data(), volts.data(), count);
  return true;
}

void fill_cells(std::span<const NodalBranch> branches, const NodalPattern& pattern,
                std::vector<NodalCell>& cells) {
  cells.assign(pattern.cell_count, {});
  for (std::size_t k = 0; k < branches.size(); ++k) {
    if (pattern.branch_cell[k] == no_cell) continue;
    NodalCell& cell = cells[pattern.branch_cell[k]];
    const double drive = branches[k].conductance * branches[k].emf;
    cell.conductance += branches[k].conductance;
    cell.drive += pattern.branch_reversed[k] ? -drive : drive;
  }
}

// The rows before the triangle. Leaves in each row the shares and drives that substitution needs.
bool eliminate_rows(const NodalPattern& pattern, std::vector<NodalCell>& cells, double* injected) {
  const std::uint32_t* mesh = pattern.mesh.data();
  for (std::uint32_t k = 0; k < pattern.tail_start; ++k) {
    const std::uint32_t begin = pattern.row[k];
    const std::uint32_t end = pattern.row[k + 1];
    double total = 0.0;
    for (std::uint32_t i = begin; i < end; ++i) total += cells[i].conductance;
    if (!(total > 0.0)) return false;
    const double each = 1.0 / total;
    for (std::uint32_t i = begin; i + 1 < end; ++i) {
      const double share = cells[i].conductance * each;
      const double drive = cells[i].drive * each;
      injected[pattern.to[i]] += share * injected[k];
      for (std::uint32_t j = i + 1; j < end; ++j) {
        NodalCell& cell = cells[*mesh++];
        cell.conductance += share * cells[j].conductance;
        // The law of the new branch runs from the earlier neighbour to the later.
        cell.drive += share * cells[j].drive - drive * cells[j].conductance;
      }
    }
    double moved = injected[k];
    for (std::uint32_t i = begin; i < end; ++i) {
      moved += cells[i].drive;
      cells[i].conductance *= each;
    }
    injected[k] = moved * each;
  }
  return true;
}

void substitute_rows(const NodalPattern& pattern, const std::vector<NodalCell>& cells, double* volts) {
  for (std::uint32_t k = pattern.tail_start; k-- > 0;) {
    double sum = volts[k];
    for (std::uint32_t i = pattern.row[k]; i + 1 < pattern.row[k + 1]; ++i) {
      sum += cells[i].conductance * volts[pattern.to[i]];
    }
    volts[k] = sum;
  }
}

bool solve_tail(const NodalPattern& pattern, NodalWork& work) {
  const std::size_t count = pattern.tail() + 1;
  NodalCell* matrix = work.cells.data() + pattern.row.back();
  const std::uint32_t last = pattern.node_count - 1;
  std::vector<double> volts(count, 0.0);  // the triangle counts from the end
  for (std::uint32_t k = 1; k < count; ++k) volts[k] = work.injected[last - k];
  if (!eliminate(matrix, volts.data(), count)) return false;
  substitute(matrix, volts.data(), count);
  for (std::uint32_t k = 1; k < count; ++k) work.injected[last - k] = volts[k];
  return true;
}

bool solve_sparse(std::span<const NodalBranch> branches, std::span<const double> injected, NodalWork& work,
                  std::vector<double>& volts) {
  const auto count = static_cast<std::uint32_t>(injected.size());
  if (!is_pattern_of(work.pattern, branches, count)) work.pattern = pattern_of(branches, count);
  const NodalPattern& pattern = work.pattern;
  fill_cells(branches, pattern, work.cells);
  work.injected.resize(count);
  for (std::uint32_t node = 0; node < count; ++node) work.injected[pattern.position[node]] = injected[node];
  if (!eliminate_rows(pattern, work.cells, work.injected.data())) return false;
  if (!solve_tail(pattern, work)) return false;
  work.injected[count - 1] = 0.0;
  substitute_rows(pattern, work.cells, work.injected.data());
  volts.resize(count);
  for (std::uint32_t node = 0; node < count; ++node) volts[node] = work.injected[pattern.position[node]];
  return true;
}

}  // namespace

bool solve_nodal(std::span<const NodalBranch> branches, std::span<const double> injected, NodalWork& work,
                 std::vector<double>& volts) {
  if (injected.size() <= dense_nodes + 1) return solve_dense(branches, injected, work, volts);
  return solve_sparse(branches, injected, work, volts);
}

}  // namespace loomgraft::circuit
