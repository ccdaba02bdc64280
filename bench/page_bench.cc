// The page's answers to a slider that moves: from settings to JSON, one row over 3 s of field, on
// one core. The goal is 100 ms from slider to picture; drawing is the browser's.
#include <benchmark/benchmark.h>
#include <fmt/format.h>
#include <tbb/global_control.h>

#include <string>

#include "sim/study/page/page_row.h"

namespace {

const sim::page::PageBase kBase{.file = SILLION_SOURCE_DIR "/scenarios/demo.toml",
                                .shown = "scenarios/demo.toml"};

sim::page::PageInput input_at(int turn) {
  return sim::page::page_input(
      kBase, {{"travel.speed", fmt::format("{:.1f} km/h", 10.0 + 0.1 * (turn % 60))}});
}

/// argument: 0 coarse, 1 full
void page_answer(benchmark::State& state) {
  const tbb::global_control one(tbb::global_control::max_allowed_parallelism, 1);
  const bool full = state.range(0) == 1;
  sim::page::RowDesk desk;
  desk.full(input_at(0));
  std::size_t bytes = 0;
  int turn = 1;
  for (auto _ : state) {
    const sim::page::PageInput input = input_at(turn++);
    const auto answer = full ? desk.full(input) : desk.coarse(input);
    bytes = sim::page::row_json(answer, input, kBase.units).size();
  }
  state.SetLabel(full ? "full" : "coarse");
  state.counters["kilobytes"] = static_cast<double>(bytes) / 1000.0;
}
BENCHMARK(page_answer)->Arg(0)->Arg(1)->Unit(benchmark::kMillisecond)->Iterations(20);

}  // namespace
