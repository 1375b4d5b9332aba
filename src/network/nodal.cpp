#include "network/nodal.h"

#include <Eigen/SparseCholesky>
#include <Eigen/SparseCore>
#include <cmath>
#include <cstddef>

namespace loomgraft {
namespace {

// Row k of the lower triangle holds the conductances to nodes 0..k-1; column 0 is the path to the reference.
// Eliminating the last node spreads its star over its neighbours: only sums and products of positive numbers.
bool solve_dense(std::span<const NodalBranch> branches, std::span<const double> injected,
                 std::vector<double>& matrix, std::vector<double>& volts) {
  const std::size_t count = injected.size();
  matrix.assign(count * count, 0.0);
  volts.assign(injected.begin(), injected.end());
  for (const NodalBranch& branch : branches) {
    if (branch.a == branch.b) continue;
    const std::size_t high = branch.a > branch.b ? branch.a : branch.b;
    const std::size_t low = branch.a > branch.b ? branch.b : branch.a;
    matrix[high * count + low] += branch.conductance;
  }
  for (std::size_t k = count; k-- > 1;) {
    double* row = &matrix[k * count];
    double total = 0.0;
    for (std::size_t j = 0; j < k; ++j) total += row[j];
    if (!(total > 0.0)) return false;
    row[k] = total;
    for (std::size_t i = 1; i < k; ++i) {
      const double share = row[i] / total;
      if (share == 0.0) continue;
      volts[i] += share * volts[k];
      double* other = &matrix[i * count];
      for (std::size_t j = 0; j < i; ++j) other[j] += share * row[j];
    }
  }
  volts[0] = 0.0;
  for (std::size_t k = 1; k < count; ++k) {
    const double* row = &matrix[k * count];
    double current = volts[k];
    for (std::size_t j = 1; j < k; ++j) current += row[j] * volts[j];
    volts[k] = current / row[k];
  }
  return true;
}

using SparseMatrix = Eigen::SparseMatrix<double>;

SparseMatrix sparse_matrix(std::span<const NodalBranch> branches, Eigen::Index order) {
  std::vector<Eigen::Triplet<double>> entries;
  entries.reserve(branches.size() * 4);
  for (const NodalBranch& branch : branches) {
    if (branch.a == branch.b) continue;
    const int a = static_cast<int>(branch.a) - 1;
    const int b = static_cast<int>(branch.b) - 1;
    if (a >= 0) entries.emplace_back(a, a, branch.conductance);
    if (b >= 0) entries.emplace_back(b, b, branch.conductance);
    if (a >= 0 && b >= 0) {
      entries.emplace_back(a, b, -branch.conductance);
      entries.emplace_back(b, a, -branch.conductance);
    }
  }
  SparseMatrix matrix(order, order);
  matrix.setFromTriplets(entries.begin(), entries.end());
  return matrix;
}

// Residual currents branch by branch: differences of voltages are taken before they meet large conductances.
Eigen::VectorXd residual(std::span<const NodalBranch> branches, std::span<const double> injected,
                         const Eigen::VectorXd& volts) {
  Eigen::VectorXd left(volts.size());
  for (Eigen::Index k = 0; k < left.size(); ++k) left[k] = injected[static_cast<std::size_t>(k) + 1];
  for (const NodalBranch& branch : branches) {
    const Eigen::Index a = static_cast<Eigen::Index>(branch.a) - 1;
    const Eigen::Index b = static_cast<Eigen::Index>(branch.b) - 1;
    const double current = branch.conductance * ((a >= 0 ? volts[a] : 0.0) - (b >= 0 ? volts[b] : 0.0));
    if (a >= 0) left[a] -= current;
    if (b >= 0) left[b] += current;
  }
  return left;
}

bool solve_sparse(std::span<const NodalBranch> branches, std::span<const double> injected,
                  std::vector<double>& volts) {
  const auto order = static_cast<Eigen::Index>(injected.size()) - 1;
  Eigen::SimplicialLDLT<SparseMatrix> factor(sparse_matrix(branches, order));
  if (factor.info() != Eigen::Success) return false;
  Eigen::VectorXd found = Eigen::VectorXd::Zero(order);
  for (int step = 0; step < 3; ++step) found += factor.solve(residual(branches, injected, found));
  volts.assign(injected.size(), 0.0);
  for (Eigen::Index k = 0; k < order; ++k) {
    if (!std::isfinite(found[k])) return false;
    volts[static_cast<std::size_t>(k) + 1] = found[k];
  }
  return true;
}

}  // namespace

bool solve_nodal(std::span<const NodalBranch> branches, std::span<const double> injected, NodalWork& work,
                 std::vector<double>& volts) {
  if (injected.size() <= dense_nodes + 1) return solve_dense(branches, injected, work.matrix, volts);
  return solve_sparse(branches, injected, volts);
}

}  // namespace loomgraft
