// The keys of a solenoid as reports show them: the law first, and nothing that does not count.
#include "sim/output/coil_words.h"

#include <gtest/gtest.h>

namespace {

TEST(CoilWords, EachLawShowsItsOwnKeys) {
  model::Coil coil{.inductance_h = 8e-3, .force_constant_npa = 5.0, .clamp_v = 36.0};
  EXPECT_EQ(sim::output::coil_line(coil, sim::output::Units::kMetric),
            "force_law linear, force_constant 5 N/A, inductance 8 mH, clamp 36 V");
  coil.force_law = model::ForceLaw::kReluctance;
  coil.clamp_v = 0.0;
  coil.chop_hz = 20e3;
  coil.reluctance = {.gap_m = 1.3e-3, .leakage_h = 1.2e-3, .eddy_ohm = 40.0};
  EXPECT_EQ(sim::output::coil_line(coil, sim::output::Units::kMetric),
            "force_law reluctance, inductance 8 mH, gap 1.3 mm, leakage 1.2 mH, eddy_resistance 40 "
            "ohm, chop 20 kHz");
  EXPECT_NE(sim::output::coil_line(coil, sim::output::Units::kUs).find("gap 0.05118 in"),
            std::string::npos);
  coil.force_law = model::ForceLaw::kTable;
  coil.chop_hz = 0.0;
  coil.table = {.lift_m = {0.0, 6e-4}, .current_a = {0.0, 1.0, 3.0}, .linkage_vs = {}};
  EXPECT_EQ(sim::output::coil_line(coil, sim::output::Units::kMetric),
            "force_law table, table 2 lifts to 0.6 mm, 3 currents to 3 A, eddy_resistance 40 ohm");
}

}  // namespace
