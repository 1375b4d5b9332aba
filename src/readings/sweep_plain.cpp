// For any processor: two lanes at a time, which every x86-64 has.
#include <cmath>

#include "readings/sweep_kernel_internal.h"

namespace loomgraft::readings {
namespace {

struct Plain {
  using Vector = double __attribute__((vector_size(16)));
  static Vector load(const double* from) { return Vector{from[0], from[1]}; }
  static void store(double* to, Vector x) {
    to[0] = x[0];
    to[1] = x[1];
  }
  static Vector all(double value) { return Vector{value, value}; }
  static Vector size(Vector x) { return Vector{std::abs(x[0]), std::abs(x[1])}; }
  static Vector larger(Vector x, Vector y) { return x > y ? x : y; }
  static Vector smaller(Vector x, Vector y) { return x < y ? x : y; }
  static Vector choose(Vector x, Vector y, Vector then, Vector other) { return x <= y ? then : other; }
  static std::uint32_t above(Vector x, Vector y) {
    return (x[0] <= y[0] ? 0U : 1U) | (x[1] <= y[1] ? 0U : 2U);
  }
  static void untangle(const Lanes* tile, double* const* rows, std::size_t first) {
    for (std::size_t lane = 0; lane < sweep_lanes; ++lane) {
      for (std::size_t k = 0; k < sweep_lanes; ++k) rows[lane][first + k] = tile[k].at[lane];
    }
  }
};

}  // namespace

extern const SweepKernel plain_kernel;
constexpr SweepKernel plain_kernel = kernel_of<Plain>("plain");

}  // namespace loomgraft::readings
