// Which form of the lines a row gets. What a form is right or wrong by is measured against the
// dense form at a quarter of the step, which took no part in the judgement. That form itself is
// held against a method of lines in tests/model/row/method_of_lines_test.cc.
#include "sim/bench/line_form.h"

#include <gtest/gtest.h>

#include <cmath>

#include "tests/sim/bench/line_form_cases.h"

namespace sim::bench {
namespace {

using support::FormCase;
using support::FormRow;

std::vector<TrainPulse> dense_train(const FormRow& one, std::int64_t step_ns) {
  model::SolverParams solver;
  solver.form = model::LineForm::kDense;
  solver.step_ns = step_ns;
  return run_train(one.row, solver, one.train);
}

TEST(LineForm, AShortWideTubeKeepsTheStationsThatWereAskedFor) {
  const FormRow one = support::form_row({"short rake", "invented starter"});
  const FormChoice form = judge_line_form(one.row, {}, one.train);
  ASSERT_TRUE(form.judged);
  EXPECT_EQ(form.solver.tube_stations, model::SolverParams{}.tube_stations);
  EXPECT_TRUE(form.holds());
  EXPECT_FALSE(form.depends_on_step());
}

// 0.9 m x 4 mm at 45 mPa s: friction at 12 places damps what one place passes on in one lump.
TEST(LineForm, ALongThinTubeGetsMoreStationsAndThenHolds) {
  const FormRow one = support::form_row({"long hook", "invented starter", 3e5, 60.0});
  const FormChoice form = judge_line_form(one.row, {}, one.train);
  ASSERT_TRUE(form.judged);
  EXPECT_GT(form.asked.places_m, form.limit_m);
  EXPECT_GT(form.solver.tube_stations, model::SolverParams{}.tube_stations);
  EXPECT_TRUE(form.holds());
  const std::vector<TrainPulse> exact = dense_train(one, 2500);
  const BandDifference asked = difference_of(run_train(one.row, {}, one.train), exact);
  const BandDifference taken = difference_of(run_train(one.row, form.solver, one.train), exact);
  EXPECT_GT(asked.places_m, form.limit_m);
  EXPECT_LT(taken.places_m, form.limit_m);
  EXPECT_LT(taken.dose_ratio, FormChoice::kDose_ratio);
}

// An even train of short pulses of thin liquid: vapour opens and closes between the pulses.
TEST(LineForm, ARowWhoseVapourDependsOnTheStepIsNamed) {
  const FormRow one = support::form_row({"swan neck", "water", 1.5e5, 60.0, 0.0});
  const FormChoice form = judge_line_form(one.row, {}, one.train);
  ASSERT_TRUE(form.judged);
  EXPECT_TRUE(form.vapour);
  EXPECT_TRUE(form.depends_on_step());
  const BandDifference finer = difference_of(dense_train(one, 10'000), dense_train(one, 5000));
  EXPECT_GT(finer.places_m, form.limit_m) << "a smaller step moves them as well";
}

// The step is lengthened as far as the bands hold, here to five times the usual one; against a
// quarter of the usual step, which took no part in that, they still hold.
TEST(LineForm, AnAutomaticStepIsAsLongAsTheBandsAllow) {
  const FormRow one = support::form_row({"short rake", "invented starter"});
  const FormChoice form = judge_line_form(one.row, {}, one.train, true);
  ASSERT_TRUE(form.judged);
  EXPECT_TRUE(form.longer_step());
  EXPECT_GE(form.solver.step_ns, 30'000);
  const BandDifference off =
      difference_of(run_train(one.row, form.solver, one.train), dense_train(one, 2500));
  EXPECT_LT(off.places_m, 0.15e-3);
  EXPECT_LT(off.dose_ratio, FormChoice::kDose_ratio);
  EXPECT_FALSE(judge_line_form(one.row, {}, one.train).longer_step());
}

TEST(LineForm, AStepIsNotLengthenedWhereBandsWouldMove) {
  const FormRow one = support::form_row({"side saddle", "invented starter", 3e5, 30.0});
  const FormChoice form = judge_line_form(one.row, {}, one.train, true);
  model::SolverParams longest = form.solver;
  longest.step_ns = 50'000;
  const BandDifference off =
      difference_of(run_train(one.row, longest, one.train), dense_train(one, 2500));
  EXPECT_GT(off.places_m, 0.15e-3) << "this row could have taken the longest step";
  EXPECT_LT(form.solver.step_ns, 50'000);
}

TEST(LineForm, AStatedStepStays) {
  const FormChoice form = line_form_of(sim_test::demo({"solver.step=\"10 us\""}));
  EXPECT_TRUE(form.judged);
  EXPECT_EQ(form.solver.step_ns, 10'000);
  EXPECT_FALSE(form.longer_step());
  EXPECT_EQ(line_form_of(sim_test::demo({"solver.form=fast"})).solver.step_ns, 10'000);
  EXPECT_GT(line_form_of(sim_test::demo({"solver.step=auto"})).solver.step_ns, 10'000);
}

TEST(LineForm, AStatedFormAndAnIdealRowAreNotJudged) {
  EXPECT_TRUE(line_form_of(sim_test::demo()).judged);
  EXPECT_FALSE(line_form_of(sim_test::demo({"solver.form=fast"})).judged);
  const FormChoice dense = line_form_of(sim_test::demo({"solver.form=dense"}));
  EXPECT_FALSE(dense.judged);
  EXPECT_EQ(dense.solver.form, model::LineForm::kDense);
  EXPECT_FALSE(line_form_of(sim_test::demo({"row.physics=ideal"})).judged);
}

TEST(LineForm, AValveThatDoesNotOpenLeavesNothingToJudge) {
  FormRow one = support::form_row({"short rake", "water"});
  one.train.voltage_v = 0.1;
  const FormChoice form = judge_line_form(one.row, {}, one.train);
  EXPECT_FALSE(form.judged);
  EXPECT_EQ(form.solver.tube_stations, model::SolverParams{}.tube_stations);
}

// Worked by hand: two compared bands that differ by 1, -2, 0 mm and 0, 0, 2 mm: squares add up to 9
// over 6 places; doses differ by 0 and 4 %.
TEST(LineForm, DifferencesAreRootMeanSquares) {
  std::vector<TrainPulse> a(2), b(2);
  for (std::size_t k = 0; k < 2; ++k) {
    b[k].band.start_x_ground_m = 0.1;
    b[k].band.end_x_ground_m = 0.2;
    b[k].band.centre_x_ground_m = 0.15;
    b[k].band.dose_m3 = 1e-7;
    a[k] = b[k];
  }
  a[0].band.start_x_ground_m += 1e-3;
  a[0].band.end_x_ground_m -= 2e-3;
  a[1].band.centre_x_ground_m += 2e-3;
  a[1].band.dose_m3 *= 1.04;
  const BandDifference off = difference_of(a, b);
  EXPECT_EQ(off.compared, 2);
  EXPECT_NEAR(off.places_m, std::sqrt(9.0 / 6.0) * 1e-3, 1e-12);
  EXPECT_NEAR(off.largest_m, 2e-3, 1e-12);
  EXPECT_NEAR(off.dose_ratio, 0.04 / std::sqrt(2.0), 1e-12);
}

}  // namespace
}  // namespace sim::bench
