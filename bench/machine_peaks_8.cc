// Compiled for registers of 8 doubles (bench/CMakeLists.txt).
#include <time.h>

#include "bench/machine_peaks.h"

#if defined(__AVX512F__)
#include <immintrin.h>

namespace bench {
namespace {

using Pack = __m512d;

double now_ns() {
  timespec now{};
  clock_gettime(CLOCK_THREAD_CPUTIME_ID, &now);
  return 1e9 * static_cast<double>(now.tv_sec) + static_cast<double>(now.tv_nsec);
}

/// The best of several runs, each of so many rounds.
template <class Body>
double best_ns(int rounds, const Body& body) {
  double best = 1e300;
  for (int run = 0; run < 20; ++run) {
    const double before = now_ns();
    for (int round = 0; round < rounds; ++round) body();
    const double spent = (now_ns() - before) / rounds;
    if (spent < best) best = spent;
  }
  return best;
}

constexpr int kFirst = 16 * 1024 / 64, kSecond = 256 * 1024 / 64;
alignas(64) Pack memory[kSecond];

double load_bytes_pns(int packs, int rounds) {
  const double ns = best_ns(rounds, [packs] {
    for (int i = 0; i < packs; i += 4)
      asm volatile("" ::"v"(memory[i]), "v"(memory[i + 1]), "v"(memory[i + 2]), "v"(memory[i + 3]));
  });
  return 64.0 * packs / ns;
}

double store_bytes_pns(int packs, int rounds) {
  const Pack value = _mm512_set1_pd(1.0);
  const double ns = best_ns(rounds, [packs, value] {
    for (int i = 0; i < packs; i += 4) {
      memory[i] = memory[i + 1] = memory[i + 2] = memory[i + 3] = value;
      asm volatile("" ::: "memory");
    }
  });
  return 64.0 * packs / ns;
}

template <bool kFused>
double flops_pns() {
  constexpr int kChains = 12, kRounds = 1000;
  const Pack scale = _mm512_set1_pd(0.999), shift = _mm512_set1_pd(1e-3);
  const double ns = best_ns(4, [&] {
    Pack at[kChains];
#pragma GCC unroll 12
    for (int i = 0; i < kChains; ++i) at[i] = shift;
    for (int round = 0; round < kRounds; ++round) {
#pragma GCC unroll 12
      for (int i = 0; i < kChains; ++i) {
        at[i] = kFused ? _mm512_fmadd_pd(at[i], scale, shift)
                       : _mm512_add_pd(_mm512_mul_pd(at[i], scale), shift);
        asm volatile("" : "+v"(at[i]));
      }
    }
  });
  return 2.0 * 8.0 * kChains * kRounds / ns;
}

}  // namespace

bool measure_peaks(MachinePeaks& peaks) {
  for (Pack& one : memory) one = _mm512_set1_pd(1.0);
  peaks.first_load = load_bytes_pns(kFirst, 200);
  peaks.first_store = store_bytes_pns(kFirst, 200);
  peaks.second_load = load_bytes_pns(kSecond, 20);
  peaks.second_store = store_bytes_pns(kSecond, 20);
  peaks.fused_flops = flops_pns<true>();
  peaks.separate_flops = flops_pns<false>();
  const Pack unit = _mm512_set1_pd(1.0);
  Pack at = unit;
  peaks.root_and_division_ns = best_ns(5000, [&] {
    at = _mm512_div_pd(unit, _mm512_add_pd(unit, _mm512_maskz_sqrt_pd(0xff, at)));
    asm volatile("" : "+v"(at));
  });
  peaks.addition_ns = best_ns(2000, [&] {
    for (int i = 0; i < 8; ++i) {
      at = _mm512_add_pd(at, unit);
      asm volatile("" : "+v"(at));
    }
  });
  peaks.addition_ns /= 8.0;
  return true;
}

}  // namespace bench

#else

namespace bench {
bool measure_peaks(MachinePeaks&) { return false; }
}  // namespace bench
#endif
