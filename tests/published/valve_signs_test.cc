// A valve's programme against the signs that published studies report. Only signs and order are
// compared, because their valves are not this one.
//
// Source   opening falls with voltage: abstract of Meas. & Control 2019, 10.1177/0020294019866853;
//          rises with the winding's temperature: copper's resistance (R/R20 = (234.5 + T)/254.5) on
//          the exact voice coil, .78009 ms at 20 C and .79841 ms with R + 19.65 %
//          (actuator_test.cc) linear share of duty falls with repetition, .8 at 12 Hz and .56 at 37
//          Hz: abstract of Trans. CSAE 2016 no. 01-13, fast valve for spraying; order only
//          pressure that loads the seat delays opening: force balance, common practice, no source
#include <gtest/gtest.h>

#include "sim/study/valve/valve_bursts.h"

namespace sim {
namespace {

const valve::ValveProgramme& programme() {
  static const valve::ValveProgramme result = valve::run_valve_programme(rig::load_rig_setup(
      std::string(SILLION_SOURCE_DIR) + "/scenarios/demo_valve.toml",
      {"programme.voltages=[\"9 V\", \"10 V\", \"11 V\", \"12 V\", \"13 V\", \"14 V\", \"24 V\"]",
       "programme.coil_temperatures=[\"-10 C\", \"20 C\", \"60 C\", \"100 C\"]",
       "programme.pressures=[\"1 bar\", \"2 bar\", \"3 bar\", \"4 bar\"]",
       "programme.repetitions=[\"12 Hz\", \"37 Hz\", \"75 Hz\"]", "programme.pulses=4"}));
  return result;
}

TEST(ValveSigns, OpeningFallsWithVoltage) {
  const auto& runs = programme().voltages;
  for (std::size_t k = 1; k < runs.size(); ++k) {
    EXPECT_LT(runs[k].pulse.at_stop_s, runs[k - 1].pulse.at_stop_s);
    EXPECT_LT(runs[k].pulse.first_motion_s, runs[k - 1].pulse.first_motion_s);
  }
}

TEST(ValveSigns, OpeningRisesWithAHotCoil) {
  const auto& runs = programme().temperatures;
  for (std::size_t k = 1; k < runs.size(); ++k)
    EXPECT_GT(runs[k].pulse.at_stop_s, runs[k - 1].pulse.at_stop_s);
}

TEST(ValveSigns, OpeningRisesWithThePressureThatLoadsTheSeat) {
  const auto& runs = programme().pressures;
  for (std::size_t k = 1; k < runs.size(); ++k)
    EXPECT_GT(runs[k].pulse.at_stop_s, runs[k - 1].pulse.at_stop_s);
}

TEST(ValveSigns, TheLinearShareOfTheDutyFallsWithRepetition) {
  const auto& runs = programme().repetitions;
  for (const valve::RepetitionRun& run : runs)
    std::printf("%.0f Hz: linear share %.2f\n", run.rate_hz, run.linear_share_ratio);
  for (std::size_t k = 1; k < runs.size(); ++k)
    EXPECT_LT(runs[k].linear_share_ratio, runs[k - 1].linear_share_ratio);
}

}  // namespace
}  // namespace sim
