// A row whose outlet or seat is worn lays more than its table says: it finds by how much the lowest
// rate that it can lay has risen, and raises the alarm where that is more than 10 %.
#include <gtest/gtest.h>

#include <algorithm>
#include <string>
#include <vector>

#include "shared/controller_abi.h"
#include "sim/bench/pass.h"
#include "sim/study/tune/tune_once.h"
#include "tests/sim/demo_scenario.h"

namespace {

using sim::bench::PassRecord;
using sim::measure::EventMark;
using sim::scenario::FaultEntry;

/// 400 seeds are 13.5 s, of which some 5 s are bands: five windows of the flow meter.
PassRecord pass_of(double bore_ratio, const std::vector<FaultEntry>& faults = {},
                   const std::string& pulses_per_litre = "20000") {
  sim::scenario::Scenario scenario = sim_test::quiet_demo(
      {"row.count=1", "seeds=400", "flow_meter.pulses_per_litre=" + pulses_per_litre});
  const sillion_attachment_table table = sim::tune::tune_once(scenario).table;
  scenario.attachment.outlet.bore_m *= bore_ratio;  // worn after the table was measured
  scenario.faults = faults;
  return sim::bench::run_pass(scenario, table, {});
}

const EventMark* found(const PassRecord& record, std::uint32_t code, int a = 0) {
  const auto& events = record.rows[0].events;
  const auto at = std::ranges::find_if(
      events, [&](const EventMark& one) { return one.code == code && (a == 0 || one.a == a); });
  return at == events.end() ? nullptr : &*at;
}

double late_dose_m3(const PassRecord& record) {
  const auto& bands = record.rows[0].bands;
  double sum_m3 = 0.0;
  for (std::size_t k = bands.size() - 40; k + 1 < bands.size(); ++k) sum_m3 += bands[k].dose_m3;
  return sum_m3;
}

TEST(WornRow, ARowInOrderAndOneThatIsALittleWornSayNothing) {
  EXPECT_EQ(found(pass_of(1.0), SILLION_EVENT_LOWEST_RATE), nullptr);
  EXPECT_EQ(found(pass_of(1.02), SILLION_EVENT_LOWEST_RATE), nullptr);
}

// By how much more flows at the same setting shows where no meter trims it away. The row's mean
// comes from below: at the alarm it is past a tenth, and never more than 3 % above the truth. A
// window is some 2.5 s of this work, and the mean passes a tenth after at most four of them.
TEST(WornRow, AWornOutletRaisesTheLowestRate) {
  for (const double bore_ratio : {1.1, 1.25}) {
    const double true_ratio =
        late_dose_m3(pass_of(bore_ratio, {}, "0")) / late_dose_m3(pass_of(1.0, {}, "0"));
    const PassRecord worn = pass_of(bore_ratio);
    const EventMark* lowest = found(worn, SILLION_EVENT_LOWEST_RATE);
    ASSERT_NE(lowest, nullptr) << bore_ratio;
    EXPECT_NE(found(worn, SILLION_EVENT_ALARM, SILLION_ALARM_WORN), nullptr);
    const double said_ratio = static_cast<double>(lowest->a) / lowest->b;
    EXPECT_GT(said_ratio, 1.1) << bore_ratio;
    EXPECT_LT(said_ratio, true_ratio + 0.03) << bore_ratio;
    EXPECT_LT(lowest->at_s, 12.5) << bore_ratio;
  }
}

// What leaks between the bands passes the meter too: the lowest rate rises by it.
TEST(WornRow, AWornSeatThatLeaksRaisesTheLowestRate) {
  const PassRecord worn = pass_of(1.0, {{.kind = "leaking_valve", .amount_ratio = 0.15}});
  EXPECT_NE(found(worn, SILLION_EVENT_LOWEST_RATE), nullptr);
  EXPECT_EQ(found(worn, SILLION_EVENT_ALARM, SILLION_ALARM_NO_FLOW), nullptr);
}

}  // namespace
