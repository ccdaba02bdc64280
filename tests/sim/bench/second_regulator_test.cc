// Another controller sets the pump's pressure: the machine's controller says so, and of nothing
// else. Bench and firmware together.
#include <gtest/gtest.h>

#include <cstdio>
#include <string>
#include <vector>

#include "sim/bench/pass.h"
#include "sim/study/tune/tune_once.h"
#include "tests/sim/demo_scenario.h"

namespace {

using sim::bench::PassRecord;
using sim::scenario::FaultEntry;

constexpr double kFrom_s = 3.0;

PassRecord pass_with(const std::vector<FaultEntry>& faults, std::vector<std::string> more = {}) {
  more.insert(more.begin(), {"seeds=240"});
  sim::scenario::Scenario scenario = sim_test::quiet_demo(more);
  const sillion_attachment_table table = sim::tune::tune_once(scenario).table;
  scenario.faults = faults;
  return sim::bench::run_pass(scenario, table, {});
}

/// When the machine reported an event for the first time; 1e9: never.
double first_s(const PassRecord& record, std::uint32_t code) {
  for (const sim::bench::TimedEvent& event : record.machine_events)
    if (event.record.code == code) return event.at.seconds();
  return 1e9;
}
double alarm_s(const PassRecord& record) {
  for (const sim::bench::TimedEvent& event : record.machine_events)
    if (event.record.code == SILLION_EVENT_ALARM &&
        event.record.a == SILLION_ALARM_SECOND_REGULATOR)
      return event.at.seconds();
  return 1e9;
}

TEST(SecondRegulator, IsToldWithinTwoSeconds) {
  for (const FaultEntry& fault :
       {FaultEntry{.kind = "second_regulator", .from_s = kFrom_s, .amount_ratio = 0.15},
        FaultEntry{.kind = "second_regulator", .from_s = kFrom_s, .amount_ratio = 0.4},
        FaultEntry{
            .kind = "second_regulator", .from_s = kFrom_s, .by_s = 2.0, .amount_ratio = 0.15},
        FaultEntry{
            .kind = "second_regulator", .from_s = kFrom_s, .by_s = 2.0, .amount_ratio = 0.4}}) {
    const double at_s = alarm_s(pass_with({fault}));
    std::printf("second regulator, %2.0f %%, period %.0f s: alarm %.2f s later\n",
                100.0 * fault.amount_ratio, fault.by_s, at_s - kFrom_s);
    EXPECT_GT(at_s, kFrom_s + 0.5);
    EXPECT_LT(at_s, kFrom_s + 2.0);
  }
}

// A share of 5 % of the pressure is 2.5 % of the flow: below what is looked at.
TEST(SecondRegulator, AMildOneIsNotSeen) {
  const PassRecord mild =
      pass_with({{.kind = "second_regulator", .from_s = kFrom_s, .amount_ratio = 0.05}});
  EXPECT_EQ(alarm_s(mild), 1e9);
}

TEST(SecondRegulator, RaisesTheDose) {
  const PassRecord plain = pass_with({});
  const PassRecord moved =
      pass_with({{.kind = "second_regulator", .from_s = kFrom_s, .amount_ratio = 0.4}});
  EXPECT_GT(moved.rows[0].applied_volume_m3, 1.05 * plain.rows[0].applied_volume_m3);
}

TEST(SecondRegulator, IsNotTakenForWhatItIsNot) {
  const std::string ramp =
      "travel.profile=[{time = \"0 s\", speed = \"8 km/h\"}, {time = \"4 s\", speed = \"16 "
      "km/h\"}, "
      "{time = \"6 s\", speed = \"4 km/h\"}, {time = \"8 s\", speed = \"16 km/h\"}]";
  struct Case {
    const char* what;
    std::vector<FaultEntry> faults;
    std::vector<std::string> sets;
    bool astray;  // "pressure does not follow" is right
  };
  const std::vector<Case> cases = {
      {"nothing", {}, {}, false},
      {"ramp", {}, {ramp}, false},
      {"meter", {}, {"flow_meter.pulses_per_litre=20000"}, false},
      {"zones",
       {},
       {"rate.zone=[{from = \"2 s\", until = \"4 s\", in_band = \"7.2 gal/ac\"}, "
        "{from = \"4 s\", until = \"5 s\", in_band = \"0 gal/ac\"}, "
        "{from = \"5 s\", in_band = \"4.2 gal/ac\"}]"},
       false},
      {"sag", {{.kind = "pressure_sag", .from_s = kFrom_s, .amount_ratio = 0.4}}, {}, false},
      {"rise", {{.kind = "pressure_rise", .from_s = kFrom_s, .amount_ratio = 0.4}}, {}, false},
      {"stuck", {{.kind = "stuck_regulator", .from_s = 2.0}}, {ramp}, true},
      {"lost speed", {{.kind = "lost_speed", .from_s = kFrom_s, .until_s = 5.0}}, {}, false},
      {"restart",
       {{.kind = "restarted_machine", .from_s = kFrom_s, .by_s = 0.2, .cause = 1}},
       {},
       false},
      {"empty tank",
       {},
       {"supply.pump_flow=\"12 l/min\"", "supply.pump_pressure=\"8 bar\"",
        "supply.manifold_volume=\"2 l\"", "supply.manifold_modulus=\"200 bar\"",
        "supply.relief_override=\"0.1 bar\"", "supply.relief_lag=\"20 ms\"",
        "supply.tank_volume=\"0.06 l\""},
       false},  // the pump holds the pressure with air
      {"small pump",
       {},
       {"supply.pump_flow=\"12 l/min\"", "supply.pump_pressure=\"8 bar\"",
        "supply.manifold_volume=\"2 l\"", "supply.manifold_modulus=\"200 bar\"",
        "supply.relief_override=\"0.1 bar\"", "supply.relief_lag=\"20 ms\""},
       false}};
  for (const Case& one : cases) {
    const PassRecord record = pass_with(one.faults, one.sets);
    EXPECT_EQ(alarm_s(record), 1e9) << one.what;
    const double astray_s = first_s(record, SILLION_EVENT_PRESSURE_ASTRAY);
    std::printf("%s: pressure does not follow at %.2f s\n", one.what, astray_s);
    if (one.astray)
      EXPECT_LT(astray_s, 1e9) << one.what;
    else
      EXPECT_EQ(astray_s, 1e9) << one.what;
  }
}

}  // namespace
