// Four lanes at a time. Compiled with -mavx2; runs only if the processor supports it.
#ifdef __x86_64__
#include <immintrin.h>

#include "readings/sweep_kernel_internal.h"

namespace loomgraft::readings {
namespace {

struct Avx2 {
  using Vector = __m256d;
  static Vector load(const double* from) { return _mm256_load_pd(from); }
  static void store(double* to, Vector x) { _mm256_store_pd(to, x); }
  static Vector all(double value) { return _mm256_set1_pd(value); }
  static Vector size(Vector x) { return _mm256_andnot_pd(_mm256_set1_pd(-0.0), x); }
  static Vector larger(Vector x, Vector y) { return _mm256_max_pd(x, y); }
  static Vector smaller(Vector x, Vector y) { return _mm256_min_pd(x, y); }
  static Vector choose(Vector x, Vector y, Vector then, Vector other) {
    return _mm256_blendv_pd(other, then, _mm256_cmp_pd(x, y, _CMP_LE_OQ));
  }
  static std::uint32_t above(Vector x, Vector y) {
    return static_cast<std::uint32_t>(_mm256_movemask_pd(_mm256_cmp_pd(x, y, _CMP_NLE_UQ)));
  }
  // From change by lane to lane by change, four by four.
  static void untangle(const Lanes* tile, double* const* rows, std::size_t first) {
    for (std::size_t k = 0; k < 8; k += 4) {
      for (std::size_t lane = 0; lane < 8; lane += 4) {
        Vector in[4];
        for (std::size_t i = 0; i < 4; ++i) in[i] = load(tile[k + i].at + lane);
        const Vector low[2] = {_mm256_unpacklo_pd(in[0], in[1]), _mm256_unpacklo_pd(in[2], in[3])};
        const Vector high[2] = {_mm256_unpackhi_pd(in[0], in[1]), _mm256_unpackhi_pd(in[2], in[3])};
        store(rows[lane] + first + k, _mm256_permute2f128_pd(low[0], low[1], 0x20));
        store(rows[lane + 1] + first + k, _mm256_permute2f128_pd(high[0], high[1], 0x20));
        store(rows[lane + 2] + first + k, _mm256_permute2f128_pd(low[0], low[1], 0x31));
        store(rows[lane + 3] + first + k, _mm256_permute2f128_pd(high[0], high[1], 0x31));
      }
    }
  }
};

}  // namespace

extern const SweepKernel avx2_kernel;
constexpr SweepKernel avx2_kernel = kernel_of<Avx2>("avx2");

}  // namespace loomgraft::readings

#endif  // __x86_64__
