#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "sim/scenario/table_seal.h"
#include "sim/study/delay/delay_tables.h"
#include "sim/study/tune/table_reading.h"
#include "tests/sim/study/delay/delay_inputs.h"
#include "tests/support/scratch_folder.h"

namespace {

using testing::HasSubstr;

const sim::delay::DelayStudy& study_of_an_ideal_row() {
  static const sim::delay::DelayStudy kStudy =
      sim::delay::run_delay_study(sim_test::ideal_inputs());
  return kStudy;
}

// Points that say D = -7 ms + 140 mm / v to 0.1 mm: delays as a bench might have had them, offsets
// v (D set - D wanted) by hand, at 2 m/s 70 - 7 = 63 ms wanted; 66 ms set gives 2 * 3 = 6 mm ahead.
constexpr const char* kPoints =
    "speed [m/s],delay [ms],offset [mm],uncertainty [mm]\n"
    "2,66,6,0.1\n"
    "2,63,0,0.1\n"
    "4,28,0,0.1\n"
    "4,30,8,0.1\n"
    "5,21,0,0.1\n"
    "5,23,10,0.1\n";

TEST(DelayJoin, MeasuredPointsThatKnowBetterWin) {
  const ScratchFolder folder;
  sim::delay::DelayStudy study = study_of_an_ideal_row();
  sim::delay::join_points(study, sim::delay::read_points_to_join(
                                     folder.write("points.csv", kPoints), "bench", "2026-04-18"));
  ASSERT_TRUE(study.measured.has_value());
  for (const double speed_mps : {2.0, 4.0, 5.0}) {
    const double flow_m3ps =
        study.scenario.rate.in_band_m3pm2 * study.scenario.row.width_m * speed_mps;
    EXPECT_NEAR(sim::tune::pulse_order(study.table, flow_m3ps, speed_mps).delay_s,
                -7e-3 + 0.140 / speed_mps, 0.15e-3);
  }
  EXPECT_EQ(study.table.evidence_grade, 1);
  EXPECT_EQ(study.table.check_sum, sim::scenario::table_check_sum(study.table));
  sim::delay::seal(study);
  const sim::scenario::DelayFile file = sim::delay::delay_file_of(study);
  EXPECT_EQ(file.evidence.measured_points, 6);
  EXPECT_EQ(file.evidence.measured_speeds, 3);
  EXPECT_EQ(sim::scenario::grade_of(file, study.scenario.attachment).grade, "bench");
  EXPECT_THAT(sim::delay::delay_sheet_html(study, sim::output::Units::kUs),
              HasSubstr("bench of 2026-04-18"));
}

TEST(DelayJoin, AMeasuredGradeNeedsItsDate) {
  const ScratchFolder folder;
  EXPECT_THROW(sim::delay::read_points_to_join(folder.write("points.csv", kPoints), "field", ""),
               sim::text::InputError);
}

}  // namespace
