// Sweeps over samples and sweeps that stop: ideal rows, so that a pass costs milliseconds.
#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <oneapi/tbb/global_control.h>

#include <cmath>
#include <nlohmann/json.hpp>

#include "sim/study/run/plots.h"
#include "sim/study/run/report.h"
#include "sim/study/run/tables.h"
#include "sim/study/sweep/cell_maps.h"
#include "sim/study/sweep/precision.h"
#include "sim/study/sweep/study.h"
#include "sim/study/sweep/sweep.h"
#include "sim/study/sweep/sweep_page.h"
#include "tests/support/scratch_folder.h"

namespace {

using testing::HasSubstr;

sim::sweep::Study study_of(const std::string& head, const std::string& axes) {
  const ScratchFolder folder;
  return sim::sweep::load_study(
      folder.write("study.toml", "base = \"" + std::string(SILLION_SOURCE_DIR) +
                                     "/scenarios/demo.toml\"\nrng_key = 3\n" + head +
                                     "\n[set]\nseeds = 40\nrow.count = 2\nrow.physics = \"ideal\"\n"
                                     "controller.row_trim = false\n[axes]\n" +
                                     axes));
}

const std::string kDrawn = "\"travel.speed\" = {uniform = [\"8 km/h\", \"16 km/h\"]}\n";
const std::string kListed = "\"seeding.spacing\" = [\"0.15 m\", \"0.20 m\"]\n";
const std::string kOne = "\"travel.speed\" = [\"16 km/h\"]\n";

TEST(SampledSweep, RunsTheSameSamplesAtEveryListedValue) {
  const sim::sweep::SweepResult result =
      sim::sweep::run_sweep(study_of("sampling = \"random\"\nsamples = 3", kListed + kDrawn));
  ASSERT_EQ(result.cells.size(), 6u);
  ASSERT_EQ(result.precision.size(), 2u);
  EXPECT_EQ(result.precision[1].first_cell, 3u);
  for (std::size_t i = 0; i < 3; ++i) {
    EXPECT_EQ(result.cells[i].values[0], "0.15 m");
    EXPECT_EQ(result.cells[3 + i].values[0], "0.20 m");
    EXPECT_EQ(result.cells[i].values[1], result.cells[3 + i].values[1]);
    EXPECT_EQ(result.cells[i].scenario.rng_key, result.cells[3 + i].scenario.rng_key);
  }
  EXPECT_NE(result.cells[0].scenario.rng_key, result.cells[1].scenario.rng_key);
}

// The mean over samples is that of their cells, and its interval Student's over them: by hand with
// t(.975, 2) = 4.303 (NIST table).
TEST(SampledSweep, WatchesTheMeanOverItsSamples) {
  const sim::sweep::SweepResult result = sim::sweep::run_sweep(study_of(
      "sampling = \"random\"\nsamples = 3\nstop = {metric = \"placement_error_mean\", half_width = "
      "\"1 mm\"}",
      kDrawn));
  double mean_m = 0.0, squares_m2 = 0.0;
  for (const sim::sweep::SweepCell& cell : result.cells)
    mean_m += cell.summary.all.placement_error.mean_m / 3.0;
  for (const sim::sweep::SweepCell& cell : result.cells) {
    const double off_m = cell.summary.all.placement_error.mean_m - mean_m;
    squares_m2 += off_m * off_m;
  }
  const sim::sweep::MeanInterval& interval = result.precision[0].interval;
  EXPECT_NEAR(interval.mean_si, mean_m, 1e-15);
  EXPECT_NEAR(interval.half_width_si / (4.303 * std::sqrt(squares_m2 / 2.0 / 3.0)), 1.0, 2e-4);
}

TEST(SampledSweep, ANetIsOneObservation) {
  const sim::sweep::SweepResult result = sim::sweep::run_sweep(
      study_of("sampling = \"low-discrepancy\"\nsamples = 4\nstop = {metric = "
               "\"within_10mm_sensed\", half_width = \"0.001 %\", most = 12}",
               kDrawn));
  EXPECT_EQ(result.cells.size(), 12u);  // the cap: no interval is that narrow
  EXPECT_EQ(result.precision[0].observations, 3);
  EXPECT_EQ(result.precision[0].state, sim::sweep::StopState::kNotEnough);
  const sim::sweep::SweepResult one =
      sim::sweep::run_sweep(study_of("sampling = \"low-discrepancy\"\nsamples = 4", kDrawn));
  EXPECT_TRUE(std::isnan(one.precision[0].interval.half_width_si));
  EXPECT_THAT(sim::sweep::precision_words(one, one.precision[0], sim::output::Units::kMetric),
              HasSubstr("one net has no interval"));
}

TEST(StoppedSweep, EndsAtOnceWhenTheFirstBatchIsEnough) {
  const sim::sweep::SweepResult result = sim::sweep::run_sweep(study_of(
      "replicas = 2\nstop = {metric = \"within_10mm_sensed\", half_width = \"100 %\", most = 8}",
      kOne));
  EXPECT_EQ(result.precision[0].observations, 2);
  EXPECT_EQ(result.precision[0].state, sim::sweep::StopState::kEnough);
  EXPECT_EQ(result.cells[0].summary.all.seeds.placed, 2 * 2 * 40);  // passes, rows, seeds
}

// Passes that a batch added are those that a study of that many passes runs: batches leave no
// trace.
TEST(StoppedSweep, AtItsCapIsTheFixedStudyOfAsManyPasses) {
  const std::string watched = "metric = \"placement_error_mean\", half_width = \"0.3 mm\"";
  const sim::sweep::SweepResult grown =
      sim::sweep::run_sweep(study_of("replicas = 2\nstop = {" + watched + ", most = 6}", kOne));
  const sim::sweep::SweepResult fixed =
      sim::sweep::run_sweep(study_of("replicas = 6\nstop = {" + watched + "}", kOne));
  EXPECT_EQ(grown.precision[0].observations, 6);
  EXPECT_EQ(grown.precision[0].state, sim::sweep::StopState::kNotEnough);
  EXPECT_EQ(sim::sweep::cells_csv(grown), sim::sweep::cells_csv(fixed));
  EXPECT_GT(grown.precision[0].interval.half_width_si, fixed.precision[0].interval.half_width_si);
  EXPECT_GT(grown.precision[0].needed, fixed.precision[0].needed);  // three looks cost more
  EXPECT_GT(fixed.precision[0].needed, 6);
}

TEST(StoppedSweep, TakesTheSameDecisionsOnAnyNumberOfThreads) {
  const sim::sweep::Study study = study_of(
      "replicas = 2\nstop = {metric = \"within_10mm_sensed\", half_width = \"4 %\", most = 10}",
      "\"travel.speed\" = [\"8 km/h\", \"16 km/h\"]\n" + kListed);
  std::string one;
  {
    const oneapi::tbb::global_control single(oneapi::tbb::global_control::max_allowed_parallelism,
                                             1);
    one = sim::sweep::sweep_summary_json(sim::sweep::run_sweep(study));
  }
  EXPECT_EQ(one, sim::sweep::sweep_summary_json(sim::sweep::run_sweep(study)));
}

TEST(SampledSweep, ShowsAMarkForEachSampleAndTheRule) {
  const sim::sweep::SweepResult result = sim::sweep::run_sweep(
      study_of("sampling = \"random\"\nsamples = 4\nstop = {metric = \"within_10mm_sensed\", "
               "half_width = \"0.1 %\", most = 8}",
               kDrawn));
  EXPECT_TRUE(sim::sweep::cell_maps(result).empty());
  const std::string svg =
      sim::sweep::response_svg(result, result.precision[0], 0, 0, sim::output::Units::kMetric);
  std::size_t marks = 0;  // every dot and cross is one "M" of a path that is no axis
  for (const char* path : {"stroke-linecap=\"round\" d=\"", "fill=\"none\" d=\""})
    for (std::size_t at = svg.find(path); at != std::string::npos; at = svg.find(path, at + 1)) {
      const std::string data = svg.substr(at, svg.find("\"/", at) - at);
      marks += static_cast<std::size_t>(std::count(data.begin(), data.end(), 'M'));
    }
  EXPECT_EQ(marks, result.cells.size());
  const std::string page = sim::sweep::sweep_report_html(result, sim::output::Units::kMetric);
  for (const char* words :
       {"Response over the samples", "stopped by the cap", "Bonferroni", "ground speed uniform"})
    EXPECT_THAT(page, HasSubstr(words));
  const auto json = nlohmann::json::parse(sim::sweep::sweep_summary_json(result));
  EXPECT_EQ(json["sampling"], "random");
  EXPECT_EQ(json["stop"]["looks"], 2);
  EXPECT_EQ(json["precision"][0]["state"], "not enough");
  EXPECT_EQ(json["precision"][0]["observations"], 8);
}

}  // namespace
