// A reluctance valve's trace is fitted whole: sixteen seconds of processor time.
#include <gtest/gtest.h>

#include "sim/scenario/loader.h"
#include "sim/study/valve/invented_trace.h"
#include "sim/study/valve/valve_check.h"
#include "sim/study/valve/valve_sheet.h"

namespace sim::valve {
namespace {

const std::string kFolder = std::string(SILLION_SOURCE_DIR) + "/scenarios/";

// A reluctance valve's trace from reading to verdict: what the trace's valve has, the fit finds
// within its intervals, and the sheet says that the valve is in order.
TEST(ValveCheck, ATraceOfAReluctanceValveIsReadFittedAndJudged) {
  const rig::RigSetup setup = rig::load_rig_setup(kFolder + "demo_valve.toml");
  const rig::RigSetup good =
      rig::load_rig_setup(kFolder + "demo_valve_good.toml", {"drive.pulses=4"});
  ASSERT_EQ(setup.part.valve.coil.force_law, model::ForceLaw::kReluctance);
  const ValveCheck check =
      check_trace(setup, read_valve_limits(setup.bench.limits), invent_trace(good), "trace.csv");
  EXPECT_EQ(check.verdict.standing, ValveStanding::kInOrder);
  ASSERT_TRUE(check.fit.has_value());
  EXPECT_FALSE(check.fit->misfit);
  int told = 0;
  for (const FittedValue& value : check.fit->values) {
    told += value.told ? 1 : 0;
    // 1.5 of the half width: eleven values, each outside once in twenty.
    if (value.told) {
      EXPECT_NEAR(value.value_si, value.setup_si, 1.5 * value.half_width_si) << value.key;
    }
  }
  EXPECT_GE(told, 9);
  const std::string page = valve_sheet_html(check, output::Units::kMetric);
  EXPECT_NE(page.find("force_law reluctance"), std::string::npos);
}

}  // namespace
}  // namespace sim::valve
