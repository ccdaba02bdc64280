// What the guard around a controller's call costs; a row makes some 1100 calls per simulated
// second.
#include <benchmark/benchmark.h>

#include "sim/bench/guarded_call.h"

namespace {

void nothing(void* count) { benchmark::DoNotOptimize(++*static_cast<long*>(count)); }

void plain_call(benchmark::State& state) {
  void (*volatile body)(void*) = nothing;
  long count = 0;
  for (auto _ : state) body(&count);
}
BENCHMARK(plain_call);

void guarded(benchmark::State& state) {
  long count = 0;
  for (auto _ : state) benchmark::DoNotOptimize(sim::bench::guarded_call(nothing, &count));
}
BENCHMARK(guarded);

}  // namespace
