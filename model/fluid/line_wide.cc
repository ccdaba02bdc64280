#include "model/fluid/line_wide.h"

#include <array>

namespace model {

LineKernels line_kernels_2();
#if defined(__x86_64__)
LineKernels line_kernels_4();
LineKernels line_kernels_8();
#endif

namespace {

struct Runnable {
  std::array<LineKernels, 3> kernels{};
  std::size_t count = 0;

  Runnable() {
    kernels[count++] = line_kernels_2();
#if defined(__x86_64__)
    __builtin_cpu_init();
    if (__builtin_cpu_supports("avx2")) kernels[count++] = line_kernels_4();
    if (__builtin_cpu_supports("avx2") && __builtin_cpu_supports("avx512f") &&
        __builtin_cpu_supports("avx512vl") && __builtin_cpu_supports("avx512dq"))
      kernels[count++] = line_kernels_8();
#endif
  }
};

}  // namespace

std::span<const LineKernels> line_kernels() {
  static const Runnable runnable;
  return {runnable.kernels.data(), runnable.count};
}

}  // namespace model
