// Eight lanes at a time. Compiled with -mavx512f; runs only if the processor supports it.
#ifdef __x86_64__
#include <immintrin.h>

#include "readings/sweep_kernel_internal.h"

namespace loomgraft::readings {
namespace {

struct Avx512 {
  using Vector = __m512d;
  static Vector load(const double* from) { return _mm512_load_pd(from); }
  static void store(double* to, Vector x) { _mm512_store_pd(to, x); }
  static Vector all(double value) { return _mm512_set1_pd(value); }
  static Vector size(Vector x) { return _mm512_abs_pd(x); }
  static Vector larger(Vector x, Vector y) { return _mm512_max_pd(x, y); }
  static Vector smaller(Vector x, Vector y) { return _mm512_min_pd(x, y); }
  static Vector choose(Vector x, Vector y, Vector then, Vector other) {
    return _mm512_mask_blend_pd(_mm512_cmp_pd_mask(x, y, _CMP_LE_OQ), other, then);
  }
  static std::uint32_t above(Vector x, Vector y) {
    return static_cast<std::uint32_t>(_mm512_cmp_pd_mask(x, y, _CMP_NLE_UQ));
  }
  // From change by lane to lane by change: pairs, then quarters, then halves.
  static void untangle(const Lanes* tile, double* const* rows, std::size_t first) {
    Vector pair[8];
    Vector four[8];
    for (std::size_t k = 0; k < 8; k += 2) {
      const Vector even = load(tile[k].at);
      const Vector odd = load(tile[k + 1].at);
      pair[k] = _mm512_unpacklo_pd(even, odd);
      pair[k + 1] = _mm512_unpackhi_pd(even, odd);
    }
    for (std::size_t k = 0; k < 2; ++k) {
      for (std::size_t half = 0; half < 8; half += 4) {
        four[half + k] = _mm512_shuffle_f64x2(pair[half + k], pair[half + k + 2], 0x88);
        four[half + k + 2] = _mm512_shuffle_f64x2(pair[half + k], pair[half + k + 2], 0xdd);
      }
    }
    for (std::size_t k = 0; k < 4; ++k) {
      store(rows[k] + first, _mm512_shuffle_f64x2(four[k], four[k + 4], 0x88));
      store(rows[k + 4] + first, _mm512_shuffle_f64x2(four[k], four[k + 4], 0xdd));
    }
  }
};

}  // namespace

extern const SweepKernel avx512_kernel;
constexpr SweepKernel avx512_kernel = kernel_of<Avx512>("avx512");

}  // namespace loomgraft::readings

#endif  // __x86_64__
