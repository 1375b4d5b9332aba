#include <vector>

#include "readings/sweep_internal.h"

namespace loomgraft::readings {

extern const SweepKernel plain_kernel;
#ifdef __x86_64__
extern const SweepKernel avx2_kernel;
extern const SweepKernel avx512_kernel;
#endif

std::span<const SweepKernel* const> sweep_kernels() {
  static const std::vector<const SweepKernel*> kernels = [] {
    std::vector<const SweepKernel*> found{&plain_kernel};
#ifdef __x86_64__
    if (__builtin_cpu_supports("avx2")) found.push_back(&avx2_kernel);
    if (__builtin_cpu_supports("avx512f")) found.push_back(&avx512_kernel);
#endif
    return found;
  }();
  return kernels;
}

}  // namespace loomgraft::readings
