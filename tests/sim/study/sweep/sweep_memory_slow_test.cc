// How much memory a sweep of a million passes takes. The passes are made up instead of simulated,
// so that the test ends in minutes; from there on they go the way of simulated ones: into the
// ledger, into the figures of their cell, and into the files of the result.
//
//   sim_tests_slow --gtest_filter='SweepMemory.*' prints the largest resident memory.
#include <gtest/gtest.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>

#include <cstdio>

#include "sim/study/sweep/sweep_ledger.h"
#include "sim/study/sweep/sweep_page.h"
#include "tests/support/result_folder.h"
#include "tests/support/small_study.h"

namespace sim::sweep {
namespace {

constexpr int kCells = 1000, kPasses = 1000, kRows = 2, kSeeds = 10;
constexpr double kSpacing_m = 0.15, kBand_m = 0.075;

/// A draw from -1 to 1 that depends on its arguments alone.
double drawn_ratio(std::uint64_t cell, std::uint64_t pass, std::uint64_t seed) {
  std::uint64_t mixed = (cell * 1'000'003u + pass) * 1'000'003u + seed;
  mixed = (mixed ^ (mixed >> 31u)) * 0x9e3779b97f4a7c15u;
  return static_cast<double>((mixed ^ (mixed >> 29u)) >> 11u) * 0x1p-52 - 1.0;
}

FinishedPass made_up(std::size_t cell, std::size_t pass) {
  FinishedPass made{.simulated_s = 3.0, .seen = {.value_si = 1.0, .trials = kRows * kSeeds}};
  made.rows.resize(kRows);
  for (std::size_t row = 0; row < kRows; ++row) {
    measure::RowRecord& record = made.rows[row];
    for (std::size_t k = 0; k < kSeeds; ++k) {
      const double x_m = static_cast<double>(k) * kSpacing_m;
      const double centre_m = x_m + 5e-3 * drawn_ratio(cell, pass, row * kSeeds + k);
      record.seeds.push_back({.edge_s = x_m, .rest_x_ground_m = x_m, .sensed = true, .number = k});
      record.bands.push_back({.open_s = x_m,
                              .close_s = x_m + 0.01,
                              .start_x_ground_m = centre_m - 0.5 * kBand_m,
                              .end_x_ground_m = centre_m + 0.5 * kBand_m,
                              .centre_x_ground_m = centre_m,
                              .dose_m3 = 2.7e-7,
                              .nearest_seed = static_cast<int>(k),
                              .on_target_ratio = 0.9});
    }
    record.applied_volume_m3 = record.worked_volume_m3 = kSeeds * 2.7e-7;
    record.travelled_m = kSeeds * kSpacing_m;
  }
  return made;
}

/// Writes the result of the whole sweep to `out`.
void sweep_into(const std::filesystem::path& out) {
  const std::filesystem::path file = support::write_small_study(out.parent_path(), "[\"3 s\"]");
  Study study = load_study(file, {"replicas=" + std::to_string(kPasses)});
  study.axes[0].values.clear();
  for (int k = 0; k < kCells; ++k)
    study.axes[0].values.push_back(std::to_string(8.0 + 0.008 * k) + " km/h");
  output::Ledger ledger(output::ledger_file(out), owner_of(hashes_of_study(study)), false);
  SweepOptions options;
  use_ledger(study, ledger, nullptr, options);
  options.find_pass = [&](const CellPlan& plan, std::size_t index) {
    FinishedPass pass = made_up(plan.group, index);
    options.keep_pass(plan, index, pass);
    return std::optional(std::move(pass));
  };
  SweepResult result = run_sweep(study, options);
  ledger.close();
  seal(result);
  write_sweep(result, out, output::Units::kMetric);
}

TEST(SweepMemory, AMillionPassesStayBelowOneGibibyte) {
  const support::ScratchFolder scratch;
  const std::filesystem::path out = scratch.path() / "out";
  const pid_t child = fork();
  if (child == 0) {
    sweep_into(out);
    _exit(0);
  }
  int status = -1;
  rusage used{};
  ASSERT_EQ(wait4(child, &status, 0, &used), child);
  ASSERT_EQ(status, 0);
  const double peak_mib = static_cast<double>(used.ru_maxrss) / 1024.0;
  std::printf("%d passes in %d cells: at most %.0f MiB resident, ledger of %.1f MB\n",
              kCells * kPasses, kCells, peak_mib,
              static_cast<double>(std::filesystem::file_size(output::ledger_file(out))) * 1e-6);
  EXPECT_LT(peak_mib, 1024.0);
  EXPECT_EQ(support::pieces_in(out), kCells);
  EXPECT_EQ(support::results_below(out).size(), 3u);
}

}  // namespace
}  // namespace sim::sweep
