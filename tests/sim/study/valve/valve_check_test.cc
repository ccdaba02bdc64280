// One valve checked from trace to verdict: invented valves that are in order, sticking and worn.
#include "sim/study/valve/valve_check.h"

#include <gtest/gtest.h>

#include "sim/scenario/loader.h"
#include "sim/study/valve/invented_trace.h"
#include "sim/study/valve/valve_sheet.h"
#include "tests/support/linear_coil.h"

namespace sim::valve {
namespace {

const std::string kFolder = std::string(SILLION_SOURCE_DIR) + "/scenarios/";

/// The verdict without the fit: what the trace itself says.
ValveVerdict verdict_of(const std::string& trace_of, const std::vector<std::string>& sets = {}) {
  const rig::RigSetup setup = rig::load_rig_setup(kFolder + "demo_valve.toml");
  const ValveTrace trace = invent_trace(rig::load_rig_setup(kFolder + trace_of, sets));
  return judge_valve(figures_of(analyse_trace(trace, reading_of(setup)), setup),
                     read_valve_limits(setup.bench.limits));
}

bool violated(const ValveVerdict& verdict, std::string_view key) {
  for (const JudgedLimit& judged : verdict.limits)
    if (judged.limit.kind->key == key) return judged.standing == LimitStanding::kViolated;
  return false;
}

TEST(ValveCheck, AGoodValveIsInOrder) {
  EXPECT_EQ(verdict_of("demo_valve_good.toml").standing, ValveStanding::kInOrder);
}

TEST(ValveCheck, AStickingValveIsNot) {
  const ValveVerdict verdict = verdict_of("demo_valve_sticking.toml");
  EXPECT_EQ(verdict.standing, ValveStanding::kNotInOrder);
  EXPECT_TRUE(violated(verdict, "odd_pulses_at_most")) << "every fifth sticks, 2 % are allowed";
}

TEST(ValveCheck, AWornValveClosesLateLeaksAndIsDue) {
  const ValveVerdict verdict = verdict_of("demo_valve_worn.toml");
  EXPECT_EQ(verdict.standing, ValveStanding::kNotInOrder);
  EXPECT_TRUE(violated(verdict, "closing_at_most"));
  EXPECT_TRUE(violated(verdict, "leak_at_most"));
  EXPECT_TRUE(violated(verdict, "smallest_dose_at_most"));
}

TEST(ValveCheck, ALowSupplyIsNamedFirst) {
  const rig::RigSetup setup = rig::load_rig_setup(kFolder + "demo_valve.toml");
  const ValveTrace trace = invent_trace(
      rig::load_rig_setup(kFolder + "demo_valve_good.toml", {"valve.coil.supply=\"9 V\""}));
  ValveCheck check;
  check.limits = read_valve_limits(setup.bench.limits);
  check.verdict =
      judge_valve(figures_of(analyse_trace(trace, reading_of(setup)), setup), check.limits);
  EXPECT_EQ(valve_sentence(check, output::Units::kMetric).rfind("Not in order: supply too low", 0),
            0u)
      << valve_sentence(check, output::Units::kMetric);
}

// What the reading does not know would be read as something else.
TEST(ValveCheck, ATableAndAChopperAreRefusedByTheirKey) {
  rig::RigSetup setup = rig::load_rig_setup(kFolder + "demo_valve_good.toml");
  const ValveTrace trace = invent_trace(setup);
  const auto refusal = [&] {
    try {
      check_trace(setup, read_valve_limits(setup.bench.limits), trace, "trace.csv");
    } catch (const text::InputError& error) {
      return std::string(error.what());
    }
    return std::string();
  };
  setup.part.valve.coil.chop_hz = 20e3;
  EXPECT_NE(refusal().find("valve.coil.chop: "), std::string::npos) << refusal();
  setup.part.valve.coil.force_law = model::ForceLaw::kTable;
  EXPECT_NE(refusal().find("valve.coil.force_law: "), std::string::npos) << refusal();
}

// Fast decay and no voltage column: the current has ended before the plunger lands.
TEST(ValveCheck, ATraceThatHidesTheClosingHasNoVerdict) {
  const std::vector<std::string> fast = support::with_linear_coil({"drive.decay=\"fast\""});
  const rig::RigSetup setup = rig::load_rig_setup(kFolder + "demo_valve.toml", fast);
  ValveTrace trace = invent_trace(rig::load_rig_setup(kFolder + "demo_valve_good.toml", fast));
  const auto standing = [&] {
    return judge_valve(figures_of(analyse_trace(trace, reading_of(setup)), setup),
                       read_valve_limits(setup.bench.limits))
        .standing;
  };
  EXPECT_EQ(standing(), ValveStanding::kInOrder) << "with the coil's voltage";
  trace.voltage_v.clear();
  EXPECT_EQ(standing(), ValveStanding::kNoVerdict) << "without";
}

}  // namespace
}  // namespace sim::valve
