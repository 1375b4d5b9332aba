// Eight lanes at a time. Compiled with -mavx512f; runs only where the processor says that it can.
#ifdef __x86_64__
#include <immintrin.h>

#include "network/fault_sweep_kernel_internal.h"

namespace loomgraft {
namespace {

struct Avx512 {
  using Vector = __m512d;
  static Vector load(const double* from) { return _mm512_load_pd(from); }
  static void store(double* to, Vector x) { _mm512_store_pd(to, x); }
  static Vector all(double value) { return _mm512_set1_pd(value); }
  static Vector size(Vector x) { return _mm512_abs_pd(x); }
  static Vector larger(Vector x, Vector y) { return _mm512_max_pd(x, y); }
  static Vector smaller(Vector x, Vector y) { return _mm512_min_pd(x, y); }
  static std::uint32_t above(Vector x, Vector y) {
    return static_cast<std::uint32_t>(_mm512_cmp_pd_mask(x, y, _CMP_NLE_UQ));
  }
};

}  // namespace

extern const SweepKernel avx512_kernel;
constexpr SweepKernel avx512_kernel = kernel_of<Avx512>("avx512");

}  // namespace loomgraft

#endif  // __x86_64__
