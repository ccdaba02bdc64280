// Which cells a plan looks at, and what it refuses before anything runs.
#include "sim/study/sweep/sweep_cells.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <fstream>
#include <set>

#include "sim/bench/pass.h"
#include "sim/study/sweep/study.h"
#include "tests/support/run_program.h"

namespace {

using support::ScratchFolder;
using ::testing::HasSubstr;

void put(const support::ScratchFolder& folder, const char* name, const std::string& text) {
  std::ofstream(folder.path() / name) << text;
}

sim::sweep::Study study_of(const ScratchFolder& folder, const std::string& more) {
  put(folder, "study.toml",
      "base = \"" SILLION_SOURCE_DIR "/scenarios/pull_request_still.toml\"\n" + more);
  return sim::sweep::load_study(folder.path() / "study.toml");
}

const char* grid(int steps) {
  static std::string text;
  const std::string count = std::to_string(steps);
  text = "[axes]\n\"travel.speed\" = {from = \"6 km/h\", to = \"16 km/h\", steps = " + count +
         "}\n\"seeding.spacing\" = {from = \"100 mm\", to = \"250 mm\", steps = " + count + "}\n";
  return text.c_str();
}

TEST(LookAtCells, OfASmallGridAreAll) {
  const ScratchFolder folder;
  const sim::sweep::Study study = study_of(folder, grid(5));
  const sim::sweep::LookedAt seen = sim::sweep::look_at_cells(study, 100);
  ASSERT_EQ(seen.scenarios.size(), 25u);
  for (std::size_t k = 0; k < 25; ++k) EXPECT_EQ(seen.groups[k], k);
}

// A few hundred of the 90 000 cells are weighed: the cost of a plan does not grow with its grid.
TEST(LookAtCells, OfALargeGridAreItsCornersAndCellsThatFollowNoAxis) {
  const ScratchFolder folder;
  const sim::sweep::Study study = study_of(folder, grid(300));
  EXPECT_EQ(sim::sweep::cell_count(study), 90000u);
  const sim::sweep::LookedAt seen = sim::sweep::look_at_cells(study, 400);
  EXPECT_LE(seen.scenarios.size(), 404u);
  EXPECT_GE(seen.scenarios.size(), 400u);
  for (const std::size_t corner : {0u, 299u, 89700u, 89999u})
    EXPECT_TRUE(std::binary_search(seen.groups.begin(), seen.groups.end(), corner)) << corner;
  std::set<double> speeds, spacings;
  double sum_mps = 0.0;
  for (const sim::scenario::Scenario& one : seen.scenarios) {
    speeds.insert(one.travel.speed_mps);
    spacings.insert(one.seeding.meter.spacing_m);
    sum_mps += one.travel.speed_mps;
  }
  EXPECT_GT(speeds.size(), 150u);
  EXPECT_GT(spacings.size(), 150u);
  // the mean of an even grid from 6 to 16 km/h is 11 km/h
  EXPECT_NEAR(sum_mps / static_cast<double>(seen.scenarios.size()) * 3.6, 11.0, 0.3);
}

TEST(LookAtCells, OfSamplesAreTheirsAndNoOthers) {
  const ScratchFolder folder;
  const std::string axes =
      "sampling = \"random\"\nsamples = 600\n[axes]\n"
      "\"travel.speed\" = {uniform = [\"6 km/h\", \"16 km/h\"]}\n"
      "\"seeding.spacing\" = [\"100 mm\", \"200 mm\"]\n";
  const sim::sweep::Study study = study_of(folder, axes);
  EXPECT_EQ(sim::sweep::cell_count(study), 1200u);
  const sim::sweep::LookedAt seen = sim::sweep::look_at_cells(study, 50);
  std::set<double> all_mps;
  for (const sim::sweep::CellPlan& cell : sim::sweep::batch_cells(study, 0, 0))
    all_mps.insert(cell.scenario.travel.speed_mps);
  for (const sim::scenario::Scenario& one : seen.scenarios)
    EXPECT_TRUE(all_mps.contains(one.travel.speed_mps));
}

// Each value alone may run but not their combination: 0.1 m between seeds of a population that
// needs more. The first cell that is refused is named, before any has run.
TEST(JudgeCells, ACombinationThatCannotRunIsRefused) {
  const ScratchFolder folder;
  put(folder, "no_library.so", "text");
  const std::atomic<bool> stop{false};
  const sim::sweep::Study study =
      study_of(folder, "[axes]\n\"controller.library\" = [\"\", \"" +
                           (folder.path() / "no_library.so").string() + "\"]\n");
  try {
    sim::sweep::judge_cells(study, stop, [](double) {});
    FAIL() << "a library that is none was not refused";
  } catch (const sim::text::InputError& error) {
    EXPECT_THAT(error.what(), HasSubstr("no_library.so"));
  }
}

TEST(JudgeCells, StopsWhenAsked) {
  const ScratchFolder folder;
  const std::atomic<bool> stop{true};
  EXPECT_THROW(sim::sweep::judge_cells(study_of(folder, grid(300)), stop, [](double) {}),
               sim::bench::Interrupted);
}

}  // namespace
