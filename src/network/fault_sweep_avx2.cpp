// Four lanes at a time. Compiled with -mavx2; runs only where the processor says that it can.
#ifdef __x86_64__
#include <immintrin.h>

#include "network/fault_sweep_kernel_internal.h"

namespace loomgraft {
namespace {

struct Avx2 {
  using Vector = __m256d;
  static Vector load(const double* from) { return _mm256_load_pd(from); }
  static void store(double* to, Vector x) { _mm256_store_pd(to, x); }
  static Vector all(double value) { return _mm256_set1_pd(value); }
  static Vector size(Vector x) { return _mm256_andnot_pd(_mm256_set1_pd(-0.0), x); }
  static Vector larger(Vector x, Vector y) { return _mm256_max_pd(x, y); }
  static Vector smaller(Vector x, Vector y) { return _mm256_min_pd(x, y); }
  static std::uint32_t above(Vector x, Vector y) {
    return static_cast<std::uint32_t>(_mm256_movemask_pd(_mm256_cmp_pd(x, y, _CMP_NLE_UQ)));
  }
};

}  // namespace

extern const SweepKernel avx2_kernel;
constexpr SweepKernel avx2_kernel = kernel_of<Avx2>("avx2");

}  // namespace loomgraft

#endif  // __x86_64__
