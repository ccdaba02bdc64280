// Passes and sweeps on two threads over one, in wall clock and processor time, and what a trace of
// their pieces on one thread makes of 8 and 16 processors (bench/work_schedule.h).
#include <benchmark/benchmark.h>
#include <oneapi/tbb/global_control.h>
#include <oneapi/tbb/task_arena.h>
#include <time.h>

#include <algorithm>
#include <numeric>
#include <string>
#include <vector>

#include "bench/work_schedule.h"
#include "sim/bench/line_form.h"
#include "sim/bench/pass.h"
#include "sim/bench/row_team.h"
#include "sim/scenario/loader.h"
#include "sim/study/sweep/study.h"
#include "sim/study/sweep/sweep.h"
#include "sim/study/tune/strip_trim.h"
#include "sim/study/tune/tune.h"
#include "sim/study/tune/tune_once.h"

namespace {

namespace tbb = oneapi::tbb;
using sim::scenario::Scenario;

const char* const kDemo = SILLION_SOURCE_DIR "/scenarios/demo.toml";

double clock_s(clockid_t clock) {
  timespec now{};
  clock_gettime(clock, &now);
  return static_cast<double>(now.tv_sec) + 1e-9 * static_cast<double>(now.tv_nsec);
}

struct Spent {
  double wall_s = 0.0;
  double processor_s = 0.0;
};

/// Adds what `work` takes on so many threads.
template <typename Work>
void spend(int threads, Spent& spent, const Work& work) {
  const tbb::global_control most(tbb::global_control::max_allowed_parallelism,
                                 static_cast<std::size_t>(threads));
  tbb::task_arena arena(threads);
  const double wall_s = clock_s(CLOCK_MONOTONIC);
  const double processor_s = clock_s(CLOCK_PROCESS_CPUTIME_ID);
  arena.execute(work);
  spent.wall_s += clock_s(CLOCK_MONOTONIC) - wall_s;
  spent.processor_s += clock_s(CLOCK_PROCESS_CPUTIME_ID) - processor_s;
}

double sum_s(const std::vector<double>& parts_s) {
  return std::accumulate(parts_s.begin(), parts_s.end(), 0.0);
}

/// Rows alone for a while: a piece is then a slot of one row, as with a thread for each.
class RowsAlone {
 public:
  RowsAlone() { sim::bench::set_rows_side_by_side(1); }
  ~RowsAlone() { sim::bench::set_rows_side_by_side(0); }
  RowsAlone(const RowsAlone&) = delete;
  RowsAlone& operator=(const RowsAlone&) = delete;
};

/// The pieces of one pass on one thread, in its processor time.
bench::Pieces traced_once(const Scenario& scenario, const sillion_attachment_table& table) {
  const RowsAlone alone;
  const auto rows = static_cast<std::size_t>(scenario.row.count);
  bench::Pieces pieces{.made_s = std::vector<double>(rows),
                       .of_row_s = std::vector<std::vector<double>>(rows),
                       .between_s = {}};
  double begun_s = 0.0, first_slot_s = -1.0, last_s = 0.0;
  const auto watch = [&](const sim::bench::PassWork& work) {
    const double now_s = clock_s(CLOCK_THREAD_CPUTIME_ID);
    if (work.begins) {
      begun_s = now_s;
      if (work.phase == 0 && first_slot_s < 0.0) first_slot_s = now_s;
      return;
    }
    last_s = now_s;
    const auto lane = static_cast<std::size_t>(work.lane);
    if (work.phase < 0)
      pieces.made_s[lane] = now_s - begun_s;
    else
      (lane < rows ? pieces.of_row_s[lane] : pieces.between_s).push_back(now_s - begun_s);
  };
  double all_s = 0.0;
  Spent unused;
  spend(1, unused, [&] {
    const double from_s = clock_s(CLOCK_THREAD_CPUTIME_ID);
    sim::bench::run_pass(scenario, table, {}, {.on_work = watch});
    all_s = clock_s(CLOCK_THREAD_CPUTIME_ID) - from_s;
  });
  double in_slots_s = sum_s(pieces.between_s);
  for (const auto& row : pieces.of_row_s) in_slots_s += sum_s(row);
  pieces.overhead_s = (last_s - first_slot_s - in_slots_s) /
                      static_cast<double>((rows + 1) * pieces.between_s.size());
  pieces.serial_s = all_s - sum_s(pieces.made_s) - (last_s - first_slot_s);
  return pieces;
}

void keep_least(std::vector<double>& least_s, const std::vector<double>& more_s) {
  for (std::size_t k = 0; k < least_s.size(); ++k) least_s[k] = std::min(least_s[k], more_s[k]);
}

/// A pass has the same pieces each time, so the least that one took is what other work on the
/// machine disturbed least. The trace is in them: a look at a clock for each.
bench::Pieces traced(const Scenario& scenario, const sillion_attachment_table& table) {
  bench::Pieces pieces = traced_once(scenario, table);
  for (int k = 0; k < 4; ++k) {
    const bench::Pieces more = traced_once(scenario, table);
    keep_least(pieces.made_s, more.made_s);
    keep_least(pieces.between_s, more.between_s);
    for (std::size_t row = 0; row < pieces.of_row_s.size(); ++row)
      keep_least(pieces.of_row_s[row], more.of_row_s[row]);
    pieces.serial_s = std::min(pieces.serial_s, more.serial_s);
    pieces.overhead_s = std::min(pieces.overhead_s, more.overhead_s);
  }
  return pieces;
}

void tell(const Spent& one, const Spent& two, benchmark::State& state) {
  state.counters["wall_1_over_2"] = one.wall_s / two.wall_s;
  state.counters["processor_2_over_1"] = two.processor_s / one.processor_s;
}

/// argument 0: rows; argument 1: step in us, 0 automatic
void pass_on_threads(benchmark::State& state) {
  const std::string step = state.range(1) == 0 ? "auto" : std::to_string(state.range(1)) + " us";
  const Scenario scenario = sim::bench::with_line_form(sim::scenario::load_scenario(
      kDemo, {"row.count=" + std::to_string(state.range(0)), "seeds=120",
              "controller.row_trim=false", "solver.step=\"" + step + "\""}));
  const sillion_attachment_table table = sim::tune::tune_once(scenario).table;
  Spent one, two;
  const auto pass = [&] { benchmark::DoNotOptimize(sim::bench::run_pass(scenario, table, {})); };
  for (auto _ : state) {
    spend(1, one, pass);
    spend(2, two, pass);
  }
  const bench::Pieces pieces = traced(scenario, table);
  double rows_s = 0.0;
  for (const auto& row : pieces.of_row_s) rows_s += sum_s(row);
  const auto phases = static_cast<double>(pieces.between_s.size());
  const double all_s = bench::pass_s(pieces, 1);
  tell(one, two, state);
  state.counters["pieces"] = (static_cast<double>(state.range(0)) + 1.0) * phases;
  state.counters["row_piece_us"] = 1e6 * rows_s / (phases * static_cast<double>(state.range(0)));
  state.counters["between_us"] = 1e6 * sum_s(pieces.between_s) / phases;
  state.counters["overhead_us"] = 1e6 * pieces.overhead_s;
  state.counters["serial_ratio"] = pieces.serial_s / all_s;
  for (const std::size_t processors : {2u, 8u, 16u})
    state.counters["predicted_" + std::to_string(processors)] =
        all_s / bench::pass_s(pieces, processors);
}
BENCHMARK(pass_on_threads)
    ->Args({8, 0})
    ->Args({8, 10})
    ->Args({24, 0})
    ->Unit(benchmark::kMillisecond)
    ->Iterations(4);

/// 4 cells of 8 passes, each with a strip before it; no two sweeps have a cell in common, so that
/// nothing is known from the one before.
sim::sweep::Study study_of(int number) {
  return {.name = "threads",
          .title = "threads",
          .base = kDemo,
          .sets = {"seeds=60", "controller.strip_test_bands=20",
                   "rate.band_length=\"" + std::to_string(60000 + number) + " um\""},
          .axes = {{"travel.speed", {"10 km/h", "12 km/h", "14 km/h", "16 km/h"}}},
          .replicas = 8,
          .rng_key = 9,
          .shown = {}};
}

void sweep_on_threads(benchmark::State& state) {
  sim::bench::set_passes_side_by_side(true);
  Spent one, two;
  int number = 0;
  for (auto _ : state) {
    const sim::sweep::Study first = study_of(++number), second = study_of(++number);
    spend(1, one, [&] { benchmark::DoNotOptimize(sim::sweep::run_sweep(first)); });
    spend(2, two, [&] { benchmark::DoNotOptimize(sim::sweep::run_sweep(second)); });
  }
  tell(one, two, state);
  // The pieces of a sweep: the tables of its cells, and behind all of them the passes. Neither is
  // taken apart here, though both fill a processor that is free with trains or rows.
  Scenario cell = sim::scenario::load_scenario(
      kDemo, {"seeds=60", "controller.strip_test_bands=20", "rate.band_length=\"59 mm\""});
  Spent tuning, passing;
  spend(1, tuning, [&] { benchmark::DoNotOptimize(sim::tune::tune_once(cell)); });
  spend(1, passing, [&] {
    const auto trim_um = sim::tune::strip_test_trim_um(cell);
    sim::bench::run_pass(cell, sim::tune::tune_once(cell).table, trim_um);
  });
  const double all_s = one.wall_s / static_cast<double>(state.iterations());
  const double pieces_s = 4.0 * tuning.wall_s + 32.0 * passing.wall_s;
  state.counters["tuning_ms"] = 1e3 * tuning.wall_s;
  state.counters["pass_ms"] = 1e3 * passing.wall_s;
  state.counters["pieces_over_all"] = pieces_s / all_s;
  const double serial_s = std::max(0.0, all_s - pieces_s);
  for (const std::size_t processors : {2u, 8u, 16u})
    state.counters["predicted_" + std::to_string(processors)] =
        (serial_s + pieces_s) /
        (serial_s + bench::dealt_s(std::vector<double>(4, tuning.wall_s), processors) +
         bench::dealt_s(std::vector<double>(32, passing.wall_s), processors));
  sim::bench::set_passes_side_by_side(false);
}
BENCHMARK(sweep_on_threads)->Unit(benchmark::kMillisecond)->Iterations(2);

}  // namespace
