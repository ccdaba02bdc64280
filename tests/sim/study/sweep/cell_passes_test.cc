// Passes of a sweep go through their slots in groups, and its results are those of passes that run
// alone: same bytes for any lanes and threads, the fault of each pass its own.
#include "sim/study/sweep/cell_passes.h"

#include <gtest/gtest.h>
#include <oneapi/tbb/global_control.h>
#include <oneapi/tbb/task_arena.h>

#include <algorithm>
#include <map>
#include <mutex>

#include "sim/bench/controller_host.h"
#include "sim/bench/row_team.h"
#include "sim/study/sweep/sweep_page.h"
#include "tests/support/scratch_folder.h"

namespace sim::sweep {
namespace {

Study study_of(const std::string& head, const std::string& axis, const std::string& sets = "") {
  const ScratchFolder folder;
  Study study = load_study(
      folder.write("study.toml", "base = \"" SILLION_SOURCE_DIR "/scenarios/demo.toml\"\n"
                                 "rng_key = 9\n" +
                                     head +
                                     "\n[set]\nseeds = 20\nrow.count = 1\n"
                                     "controller.strip_test_bands = 4\n[axes]\n" +
                                     axis + "\n"));
  if (!sets.empty()) study.sets.push_back(sets);
  return study;
}

/// Two cells of five passes.
Study grid(const std::string& sets = "") {
  return study_of("replicas = 5", "\"travel.speed\" = [\"8 km/h\", \"16 km/h\"]", sets);
}

Study sampled() {
  return study_of("sampling = \"random\"\nsamples = 7",
                  "\"supply.voltage\" = {uniform = [\"12 V\", \"14 V\"]}");
}

template <typename Work>
void on_threads(int threads, const Work& work) {
  const oneapi::tbb::global_control most(oneapi::tbb::global_control::max_allowed_parallelism,
                                         static_cast<std::size_t>(threads));
  oneapi::tbb::task_arena arena(threads);
  arena.execute(work);
}

std::string bytes_of(const Study& study, int lanes, int threads) {
  std::string text;
  bench::set_rows_side_by_side(lanes);
  on_threads(threads, [&] {
    SweepResult result = run_sweep(study);
    seal(result);
    text = sweep_summary_json(result) + cells_csv(result);
  });
  bench::set_rows_side_by_side(0);
  return text;
}

TEST(CellPassesSlow, LanesAndThreadsChangeNoByte) {
  EXPECT_NE(bytes_of(grid("rate.in_band=\"5 gal/ac\""), 1, 1), bytes_of(grid(), 1, 1));
  for (const Study& study : {grid(), sampled()}) {
    const std::string alone = bytes_of(study, 1, 1);
    for (const int threads : {1, 5})
      EXPECT_EQ(bytes_of(study, 0, threads), alone) << threads << " threads";
  }
}

/// How many passes a group of one-row machines has, on so many threads.
std::size_t group_size(const Study& study, int threads, int rows) {
  std::size_t size = 0;
  on_threads(threads, [&] {
    const SweepOptions options;
    const SweepStop stop{.metric = "placement_error_mean", .unit = "m"};
    SweepProgress progress(study, options, {});
    ShownPass shown(study);
    const CellPasses passes(study, options, {}, stop, progress, shown);
    scenario::Scenario scenario;
    scenario.row.count = rows;
    size = passes.group_size(scenario);
  });
  return size;
}

// 2 cells of 5 passes: 10 are to run.
TEST(CellPasses, GroupsFillLanesAndLeaveOneForEachThread) {
  const auto lanes = static_cast<std::size_t>(bench::most_side_by_side(false));
  EXPECT_EQ(group_size(grid(), 1, 1), std::min<std::size_t>(lanes, 10));
  EXPECT_EQ(group_size(grid(), 2, 1), std::min<std::size_t>(lanes, 5));
  EXPECT_EQ(group_size(grid(), 5, 1), std::min<std::size_t>(lanes, 2));
  EXPECT_EQ(group_size(grid(), 16, 1), 1u);
  EXPECT_EQ(group_size(grid(), 1, 3), std::max<std::size_t>(1, lanes / 3));
  EXPECT_EQ(group_size(grid(), 1, 24), 1u);
}

// Row 1 of a machine of two rows fails; every pass was in company with others.
TEST(CellPasses, TheFirstFaultOfACellNamesItsPass) {
  Study study = grid("row.count=2");
  study.sets.push_back("controller.row_trim=false");
  study.sets.push_back(std::string("controller.library=\"") + SILLION_BINARY_DIR +
                       "/tests/libhostile_uses_channel_200.so\"");
  bench::set_host_settings({.trusts_foreign = true});
  std::vector<SweepResult> results;
  for (const int lanes : {1, 0}) {
    bench::set_rows_side_by_side(lanes);
    on_threads(1, [&] { results.push_back(run_sweep(study)); });
  }
  bench::set_rows_side_by_side(0);
  bench::set_host_settings({});
  for (std::size_t k = 0; k < 2; ++k) {
    EXPECT_EQ(results[1].cells[k].fault, CellFault::kController);
    EXPECT_EQ(results[1].cells[k].fault_words, results[0].cells[k].fault_words);
    EXPECT_TRUE(results[1].cells[k].fault_words.starts_with("pass 0: row 1 "))
        << results[1].cells[k].fault_words;
  }
}

// Each pass is kept once under its own index, and found again instead of run.
TEST(CellPasses, PassesAreKeptAndFoundOneByOne) {
  std::mutex mutex;
  std::map<std::pair<std::size_t, std::size_t>, FinishedPass> kept;
  SweepOptions options;
  options.keep_pass = [&](const CellPlan& plan, std::size_t index, const FinishedPass& done) {
    const std::lock_guard lock(mutex);
    EXPECT_TRUE(kept.emplace(std::pair{plan.group, index}, done).second);
  };
  SweepResult whole = run_sweep(grid(), options);
  ASSERT_EQ(kept.size(), 10u);
  int ran = 0;
  options.find_pass = [&](const CellPlan& plan, std::size_t index) {
    return index % 2 == 0 ? std::optional(kept.at({plan.group, index})) : std::nullopt;
  };
  options.keep_pass = [&](const CellPlan& plan, std::size_t index, const FinishedPass& done) {
    const std::lock_guard lock(mutex);
    ++ran;
    EXPECT_EQ(done.simulated_s, kept.at({plan.group, index}).simulated_s);
    EXPECT_EQ(done.seen.value_si, kept.at({plan.group, index}).seen.value_si);
  };
  SweepResult again = run_sweep(grid(), options);
  EXPECT_EQ(ran, 4);  // passes 1 and 3 of both cells
  seal(whole);
  seal(again);
  EXPECT_EQ(cells_csv(again), cells_csv(whole));
}

}  // namespace
}  // namespace sim::sweep
