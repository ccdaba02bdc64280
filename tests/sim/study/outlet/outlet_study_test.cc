// The study over a small grid: figures against the orifice's law, monotony over the bore, refusals.
#include "sim/study/outlet/outlet_study.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>

#include "sim/scenario/loader.h"
#include "sim/study/outlet/outlet_tables.h"
#include "tests/support/run_program.h"
#include "tests/support/small_outlet.h"

namespace {

using ::testing::HasSubstr;

sim::outlet::OutletCandidate judged(const sim::scenario::Scenario& scenario, double bore_m) {
  sim::outlet::OutletPart part = sim::outlet::part_of(scenario);
  part.bore_m = bore_m;
  sim::outlet::OutletOptions options = sim_test::small_outlet();
  options.rates_hz = {30.0};
  return sim::outlet::judge_part(scenario, part, options);
}

std::string refusal(const sim::scenario::Scenario& scenario,
                    const sim::outlet::OutletOptions& options) {
  try {
    sim::outlet::run_outlet_study(scenario, options);
  } catch (const sim::text::InputError& error) {
    return error.what();
  }
  return "not refused";
}

}  // namespace

// Water at 20 C, 19.01 ml/s (6 gal/ac, 30 in, 16 km/h). Outlet 1.6 mm: u = Q/(0.65 * 2.0106 mm2) =
// 14.54 m/s, 998.2/2 u^2 = 105.6 kPa. Seat: pi 4 mm sin 45 0.8 mm = 7.109 mm2, 4.11 m/s, 8.4 kPa.
// Together 114.0 kPa; one per cent of room for both lines of 8 mm.
TEST(OutletStudy, PressureForTheRateByTheOrificesLaw) {
  const sim::outlet::OutletCandidate one = judged(
      sim_test::quiet_demo({"liquid.name=\"water\"", "liquid.temperature=\"20 C\""}), 1.6e-3);
  EXPECT_NEAR(one.pressure_pa, 114.0e3, 0.01 * 114.0e3);
  EXPECT_NEAR(one.pressure_ratio, 5e5 / one.pressure_pa, 1e-9);
  EXPECT_NEAR(one.jet.speed_mps, 14.54, 0.01);
  EXPECT_NEAR(one.plugging_ratio, 1.6e-3 / 300e-6, 1e-9);
}

TEST(OutletStudy, WiderBoreNeedsLessPressureAndPlugsLessButJetsLess) {
  const sim::scenario::Scenario scenario = sim_test::quiet_demo();
  const sim::outlet::OutletCandidate narrow = judged(scenario, 1.3e-3),
                                     wide = judged(scenario, 2.2e-3);
  EXPECT_GT(narrow.pressure_pa, wide.pressure_pa);
  EXPECT_LT(narrow.plugging_ratio, wide.plugging_ratio);
  EXPECT_GT(narrow.jet_margin_ratio, wide.jet_margin_ratio);
  EXPECT_LT(narrow.largest_flow_m3ps, wide.largest_flow_m3ps);
}

TEST(OutletStudy, PartThatCannotPassTheRateIsNotPulsedAndDoesNotWork) {
  const sim::outlet::OutletCandidate one = judged(sim_test::quiet_demo(), 0.6e-3);
  EXPECT_FALSE(one.pulsed);
  EXPECT_FALSE(one.works);
  EXPECT_FALSE(one.holds[static_cast<std::size_t>(sim::outlet::Demand::kServesRate)]);
  EXPECT_EQ(one.pressure_ratio, 0.0);
}

TEST(OutletStudy, RecommendsAPartOfTheGridThatDoesAllThatIsDemanded) {
  const sim::outlet::OutletResult result =
      sim::outlet::run_outlet_study(sim_test::quiet_demo(), sim_test::small_outlet());
  ASSERT_GE(result.recommended, 0);
  ASSERT_EQ(result.candidates.size(), 4u);
  const auto& best = result.candidates[static_cast<std::size_t>(result.recommended)];
  EXPECT_TRUE(best.works && best.pareto && best.looked_at_closely);
  EXPECT_EQ(result.candidates[result.stated].changes, 0);
  for (const sim::outlet::OutletCandidate& other : result.candidates) {
    if (!other.pareto) continue;
    EXPECT_LE(best.cost_m, other.cost_m);
  }
}

// The part as stated is judged too, beside a grid that leaves it out.
TEST(OutletStudy, StatedPartIsJudgedToo) {
  sim::outlet::OutletOptions options = sim_test::small_outlet();
  options.axes.bores_m = {1.4e-3};
  const sim::outlet::OutletResult result =
      sim::outlet::run_outlet_study(sim_test::quiet_demo(), options);
  EXPECT_EQ(result.candidates.size(), 3u);
  EXPECT_EQ(result.candidates[result.stated].part.bore_m, 1.6e-3);
}

TEST(OutletStudy, WhereNoneWorksTheNearestIsNamed) {
  sim::outlet::OutletOptions options = sim_test::small_outlet();
  options.axes.bores_m = {0.5e-3};
  sim::scenario::Scenario weak = sim_test::quiet_demo();
  weak.attachment.outlet.bore_m = 0.5e-3;
  const sim::outlet::OutletResult result = sim::outlet::run_outlet_study(weak, options);
  EXPECT_EQ(result.recommended, -1);
  EXPECT_THAT(result.nearest_workable, HasSubstr("attachment.outlet.bore"));
}

TEST(OutletStudy, RefusesAnIdealRowAndAGridOutOfBounds) {
  EXPECT_THAT(refusal(sim_test::quiet_demo({"row.physics=\"ideal\""}), sim_test::small_outlet()),
              HasSubstr("row.physics"));
  sim::outlet::OutletOptions options = sim_test::small_outlet();
  options.axes.bores_m = {9e-3};
  EXPECT_THAT(refusal(sim_test::quiet_demo(), options), HasSubstr("--bores"));
  for (int k = 0; k < 3000; ++k) options.axes.bores_m.push_back(1e-3 + k * 1e-6);
  EXPECT_THAT(refusal(sim_test::quiet_demo(), options), HasSubstr("at most 5000"));
}

TEST(OutletStudySlow, ThreadsChangeNoByteAndTheCommandSaysWhatItFound) {
  const support::ScratchFolder scratch;
  const std::vector<std::string> words{
      "outlet",         "short rake", "--scenario",   "scenarios/demo.toml",
      "--bores",        "1.4 mm",     "--tube-bores", "8 mm",
      "--tube-lengths", "0.3 m",      "--hose-bores", "8 mm",
      "--walls",        "as stated"};
  for (const char* threads : {"1", "4"}) {
    std::vector<std::string> all = words;
    for (const std::string& more : {std::string("--threads"), std::string(threads),
                                    std::string("--out"), (scratch.path() / threads).string()})
      all.push_back(more);
    const support::Ended ended = support::sillion(all);
    ASSERT_EQ(ended.code, 0) << ended.err;
    EXPECT_THAT(ended.out, HasSubstr("thousandths) outlet: tube holds its liquid"));
  }
  for (const char* file : {"summary.json", "candidates.csv", "report.html"}) {
    const std::string one = support::text_of(scratch.path() / "1" / file);
    ASSERT_FALSE(one.empty()) << file;
    EXPECT_TRUE(one == support::text_of(scratch.path() / "4" / file)) << file;
  }
}

TEST(OutletStudy, CommandEndsWithOneWhereNothingWorksAndWithTwoWhereTheInputIsWrong) {
  const support::ScratchFolder scratch;
  const std::string out = (scratch.path() / "out").string();
  const support::Ended none =
      support::sillion({"outlet", "short rake", "--scenario", "scenarios/demo.toml", "--set",
                        "attachment.outlet.bore=0.4 mm", "--bores", "0.4 mm", "--tube-bores",
                        "8 mm", "--tube-lengths", "0.3 m", "--walls", "as stated", "--out", out});
  EXPECT_EQ(none.code, 1);
  EXPECT_THAT(none.out, HasSubstr("None of"));
  EXPECT_THAT(none.out, HasSubstr("needs at least"));
  const support::Ended unknown =
      support::sillion({"outlet", "short rack", "--scenario", "scenarios/demo.toml", "--out", out});
  EXPECT_EQ(unknown.code, 2);
  EXPECT_THAT(unknown.err, HasSubstr("nearest valid name: `short rake`"));
  const support::Ended rate = support::sillion({"outlet", "short rake", "--out", out});
  EXPECT_EQ(rate.code, 2);
  EXPECT_THAT(rate.err, HasSubstr("rate.in_band"));
}
