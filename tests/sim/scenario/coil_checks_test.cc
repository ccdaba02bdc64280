// A coil's keys taken together: each mistake is named by its key, with what would mend it.
#include "sim/scenario/coil_checks.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <functional>

namespace {

using sim::scenario::coil_trouble;
using ::testing::HasSubstr;

model::Valve sound_valve() {
  model::Valve valve;  // travel 0.6 mm, preload 4 N, seat 3 mm
  valve.coil.force_law = model::ForceLaw::kReluctance;
  valve.coil.inductance_h = 12e-3;
  valve.coil.reluctance = {.gap_m = 1e-3,
                           .leakage_h = 2e-3,
                           .saturation_vs = 20e-3,
                           .half_current_a = 0.3,
                           .eddy_ohm = 60.0};
  return valve;
}

TEST(CoilChecks, ASoundCoilAndTheLinearLawPass) {
  EXPECT_EQ(coil_trouble(sound_valve(), 3e5, {}).key, "");
  EXPECT_EQ(coil_trouble(model::Valve{}, 3e5, {}).key, "");
}

TEST(CoilChecks, EachMistakeIsNamedWithItsRemedy) {
  struct Mistake {
    std::function<void(model::Reluctance&)> make;
    const char *key, *said;
  };
  for (const Mistake& one : {
           Mistake{[](auto& iron) { iron.gap_m = 0.5e-3; }, "coil.gap",
                   "above the plunger's travel"},
           Mistake{[](auto& iron) { iron.leakage_h = 13e-3; }, "coil.leakage", "12 mH"},
           Mistake{[](auto& iron) { iron.leakage_h = 0.0; }, "coil.leakage", "above 0"},
           Mistake{[](auto& iron) { iron.saturation_vs = 0.0; }, "coil.half_current", "not stated"},
           Mistake{[](auto& iron) { iron.half_current_a = 2.5; }, "coil.half_current", "2 A"},
           Mistake{[](auto& iron) { iron.saturation_vs = 8e-3; }, "coil.saturation", "mWb"},
       }) {
    model::Valve valve = sound_valve();
    one.make(valve.coil.reluctance);
    const auto trouble = coil_trouble(valve, 3e5, {});
    EXPECT_EQ(trouble.key, one.key);
    EXPECT_THAT(trouble.message, HasSubstr(one.said));
  }
}

TEST(CoilChecks, AClampBelowTheSupplyIsNamedForEitherLaw) {
  model::Valve valve;
  valve.coil.clamp_v = 11.0;
  EXPECT_EQ(coil_trouble(valve, 3e5, {}).key, "coil.clamp");
  valve.coil.clamp_v = 36.0;
  EXPECT_EQ(coil_trouble(valve, 3e5, {}).key, "");
}

TEST(CoilChecks, AChoppersClockIsHeldAgainstLimitStepAndCommand) {
  model::Valve valve;
  valve.coil.chop_hz = 20e3;
  EXPECT_THAT(coil_trouble(valve, 3e5, {}).message, HasSubstr("there is none"));
  EXPECT_EQ(coil_trouble(valve, 3e5, {.limit_a = 2.0, .on_time_s = 5e-3}).key, "");
  valve.coil.chop_hz = 50.001e3;  // two steps of 10 us are 50 kHz
  EXPECT_EQ(coil_trouble(valve, 3e5, {.limit_a = 2.0}).key, "coil.chop");
  EXPECT_THAT(coil_trouble(valve, 3e5, {.limit_a = 2.0}).message, HasSubstr("at most"));
  valve.coil.chop_hz = 199.0;  // 5.03 ms
  EXPECT_THAT(coil_trouble(valve, 3e5, {.limit_a = 2.0, .on_time_s = 5e-3}).message,
              HasSubstr("at least \"200 Hz\""));
}

TEST(CoilChecks, ATableHasToReachTravelAndCurrentAndToOpenTheValve) {
  model::Valve valve;  // travel 0.6 mm, opens above 4 N + 7.07 mm2 3 bar = 6.12 N
  valve.coil.force_law = model::ForceLaw::kTable;
  EXPECT_EQ(coil_trouble(valve, 3e5, {}).key, "coil.force_law");
  model::LinkageTable& table = valve.coil.table;
  table = {.lift_m = {0.0, 0.6e-3},
           .current_a = {0.0, 1.0, 3.0},
           .linkage_vs = {0.0, 4e-3, 6e-3, 0.0, 8e-3, 12e-3}};
  // Pull at 3 A: coenergies 2 + 10 = 12 and 4 + 20 = 24 mJ over 0.6 mm: 20 N.
  EXPECT_EQ(coil_trouble(valve, 3e5, {}).key, "");
  EXPECT_THAT(coil_trouble(valve, 3e5, {.supply_v = 12.4}).message, HasSubstr("\"3.1 A\""));
  EXPECT_EQ(coil_trouble(valve, 3e5, {.supply_v = 12.4, .limit_a = 3.0}).key, "");
  EXPECT_THAT(coil_trouble(valve, 3e5, {.limit_a = 0.5}).message, HasSubstr("at the seat"));
  valve.plunger.travel_m = 0.7e-3;
  EXPECT_THAT(coil_trouble(valve, 3e5, {}).message, HasSubstr("\"0.7 mm\""));
}

}  // namespace
