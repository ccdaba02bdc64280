#include "model/machine/flow_meter.h"

#include <gtest/gtest.h>

#include <cmath>

#include "model/reproducible_math.h"
#include "shared/units.h"

namespace {

constexpr double kStep_s = 10e-6;
constexpr double kPulse_m3 = 200e-9;  // 5000 pulses a litre

/// Liquid at `flow_m3ps` that lasts `time_s`, in steps of the bench's size.
void run(model::FlowMeterState& state, const model::FlowMeter& meter, double flow_m3ps,
         double time_s) {
  const auto steps = static_cast<int>(std::lround(time_s / kStep_s));
  for (int k = 0; k < steps; ++k) model::turn(state, flow_m3ps * kStep_s, kStep_s, meter);
}

// 10 ml/s over 4 s are 40 ml: 200 pulses of 0.2 ml.
TEST(FlowMeter, ASteadyFlowGivesItsVolumeInPulses) {
  model::FlowMeterState state;
  run(state, {.pulse_m3 = kPulse_m3}, 10e-6, 4.0);
  EXPECT_NEAR(state.pulses, 200, 1);
}

// The hose's slosh on top of 10 ml/s: a swing of 30 ml/s at 100 Hz runs backwards for a third of
// the time. What runs forward alone has the mean 10 (pi/2 + asin(1/3))/pi + 30 cos(asin(1/3))/pi =
// 15.1 ml/s: a meter that dropped the backflow would count 302 pulses of 0.2 ml instead of 200.
TEST(FlowMeter, SloshDoesNotCount) {
  for (const double swing_m3ps : {8e-6, 30e-6}) {
    model::FlowMeterState state;
    const model::FlowMeter meter{.pulse_m3 = kPulse_m3};
    for (int k = 0; k < 400'000; ++k) {
      const double angle_rad = 2.0 * shared::kPi_ratio * (100.0 * kStep_s * k);
      const double flow_m3ps = 10e-6 + swing_m3ps * model::sin_of(angle_rad);
      model::turn(state, flow_m3ps * kStep_s, kStep_s, meter);
    }
    EXPECT_NEAR(state.pulses, 200, 2) << swing_m3ps;
  }
}

// Volume that went back is made up before a new pulse comes: 10 pulses out, 3 back, 3 out again
// give 10, and one more gives 11.
TEST(FlowMeter, BackflowIsMadeUpBeforeTheCountGoesOn) {
  model::FlowMeterState state;
  const model::FlowMeter meter{.pulse_m3 = kPulse_m3};
  run(state, meter, 1e-6, 10.05 * 0.2);
  EXPECT_EQ(state.pulses, 10u);
  run(state, meter, -1e-6, 3 * 0.2);
  run(state, meter, 1e-6, 3 * 0.2);
  EXPECT_EQ(state.pulses, 10u);
  run(state, meter, 1e-6, 0.2);
  EXPECT_EQ(state.pulses, 11u);
}

// The least flow is one of the mean: bursts of 16 ml/s with pauses of the same length are 8 ml/s,
// above 5; the pauses alone (0 ml/s) must not stop the rotor. 3 ml/s in the mean are below.
TEST(FlowMeter, TheLeastFlowIsJudgedOnTheMeanOfAPulse) {
  const model::FlowMeter meter{.pulse_m3 = kPulse_m3, .minimum_m3ps = 5e-6};
  model::FlowMeterState turns;
  model::FlowMeterState stands;
  for (int burst = 0; burst < 100; ++burst) {
    run(turns, meter, 16e-6, 10e-3);
    run(turns, meter, 0.0, 10e-3);
    run(stands, meter, 6e-6, 10e-3);
    run(stands, meter, 0.0, 10e-3);
  }
  EXPECT_NEAR(turns.pulses, 80, 2);  // 16 ml
  EXPECT_EQ(stands.pulses, 0u);
  // A pause after which the flow comes back costs less than one pulse.
  run(stands, meter, 0.0, 10.0);
  run(stands, meter, 10e-6, 1.0);
  EXPECT_NEAR(stands.pulses, 50, 1);
}

}  // namespace
