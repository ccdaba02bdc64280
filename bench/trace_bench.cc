// A technician's trace of 60 s at 100 kHz, read from a file and analysed: seconds and memory.
//
//   1776 pulses of a coil and plunger in steps of a sample, noise of 5 mA, three columns with as
//   many digits as a scope writes; the file is written once before the clock runs
#include <benchmark/benchmark.h>
#include <sys/resource.h>

#include <cstdint>
#include <cstdio>
#include <filesystem>
#include <string>

#include "sim/study/valve/trace/trace_pulses.h"
#include "sim/study/valve/trace/valve_trace.h"

namespace {

constexpr int kSamples = 6'000'000;
constexpr int kPeriod = 3378, kOn = 1200;  // samples

double noise_a(std::uint64_t& state) {  // a sum of uniform numbers, sd 5 mA
  double sum = -3.0;
  for (int k = 0; k < 6; ++k) {
    state = state * 6364136223846793005u + 1442695040888963407u;
    sum += static_cast<double>(state >> 11) / 9007199254740992.0;
  }
  return sum * 5e-3 * 1.41421356;
}

struct Plunger {
  double i = 0.0, v = 0.0, x = 0.0;

  void step(bool driven) {
    constexpr int kParts = 10;
    constexpr double kStep_s = 1e-5 / kParts;
    for (int part = 0; part < kParts; ++part) {
      const double u = driven ? 12.0 : i > 0.0 ? -12.0 : 0.0;
      if (driven || i > 0.0) i += kStep_s * (u - 4.0 * i - 5.0 * v) / 2e-3;
      if (i < 0.0) i = 0.0;
      v += kStep_s * (5.0 * i - 6.0 - 2000.0 * x) / 3e-3;
      x += kStep_s * v;
      if (x < 0.0) x = 0.0, v = v < -5e-3 ? -0.2 * v : 0.0;
      if (x > 0.6e-3) x = 0.6e-3, v = v > 5e-3 ? -0.2 * v : 0.0;
    }
  }
};

std::filesystem::path written_trace() {
  const auto file = std::filesystem::temp_directory_path() / "sillion_trace_bench.csv";
  std::FILE* out = std::fopen(file.c_str(), "w");
  if (out == nullptr) return {};
  std::fputs("time [s],command [1],current [A]\n", out);
  Plunger plunger;
  std::uint64_t state = 1;
  for (int k = 0; k < kSamples; ++k) {
    const bool driven = k % kPeriod >= 500 && k % kPeriod < 500 + kOn;
    std::fprintf(out, "%.7f,%d,%.8f\n", k * 1e-5, driven ? 1 : 0, plunger.i + noise_a(state));
    plunger.step(driven);
  }
  std::fclose(out);
  return file;
}

double most_memory_mb() {
  rusage usage{};
  getrusage(RUSAGE_SELF, &usage);
  return static_cast<double>(usage.ru_maxrss) / 1024.0;
}

void read_and_analyse_a_minute(benchmark::State& state) {
  const auto file = written_trace();
  const auto bytes = static_cast<double>(std::filesystem::file_size(file));
  std::size_t pulses = 0;
  for (auto _ : state) {
    const sim::valve::ValveTrace trace = sim::valve::read_valve_trace(file);
    pulses = sim::valve::analyse_trace(trace, {}).pulses.size();
  }
  state.counters["file_mb"] = bytes / 1048576.0;
  state.counters["most_memory_mb"] = most_memory_mb();
  state.counters["memory_over_file"] = most_memory_mb() * 1048576.0 / bytes;
  state.counters["pulses"] = static_cast<double>(pulses);
  std::filesystem::remove(file);
}
BENCHMARK(read_and_analyse_a_minute)->Unit(benchmark::kMillisecond)->UseRealTime()->Iterations(3);

void read_a_minute(benchmark::State& state) {
  const auto file = written_trace();
  for (auto _ : state) benchmark::DoNotOptimize(sim::valve::read_valve_trace(file).size());
  std::filesystem::remove(file);
}
BENCHMARK(read_a_minute)->Unit(benchmark::kMillisecond)->UseRealTime()->Iterations(3);

}  // namespace
