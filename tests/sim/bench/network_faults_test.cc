// Every fault of the network shows where it has to: in the bands of the rows, and in what passed.
#include <gtest/gtest.h>

#include <algorithm>
#include <string>
#include <vector>

#include "sim/bench/pass.h"
#include "sim/scenario/faults/catalog.h"
#include "sim/study/tune/tune.h"
#include "tests/sim/demo_scenario.h"

namespace {

using sim::bench::PassRecord;
using sim::scenario::FaultEntry;

PassRecord pass(const std::vector<FaultEntry>& faults, const std::vector<std::string>& sets) {
  std::vector<std::string> all = {"row.physics=ideal", "duration=\"6 s\"", "row.count=2"};
  all.insert(all.end(), sets.begin(), sets.end());
  sim::scenario::Scenario scenario = sim_test::quiet_demo(all);
  scenario.faults = faults;
  PassRecord record = sim::bench::run_pass(scenario, sim::tune::tune(scenario).table, {});
  EXPECT_TRUE(record.idle_faults.empty());
  return record;
}

int bands(const PassRecord& record, double from_s, double until_s) {
  const auto& all = record.rows[0].bands;
  return static_cast<int>(std::count_if(all.begin(), all.end(), [&](const auto& band) {
    return band.open_s >= from_s && band.open_s < until_s;
  }));
}

const std::vector<std::string> kRadio = {"network.radio.period=100 ms"};
const std::vector<std::string> kCab = {"network.cab.simulated=true"};

// A speed is valid for 500 ms at most, and older than 300 ms it closes the valve.
TEST(NetworkFaults, AJammedRadioClosesTheRows) {
  for (const std::vector<std::string>& with : {kRadio, std::vector<std::string>{}}) {
    const PassRecord record = pass({{.kind = "radio_jammed", .from_s = 3.0, .until_s = 4.5}}, with);
    EXPECT_GT(bands(record, 2.0, 3.0), 25);
    EXPECT_EQ(bands(record, 3.6, 4.5), 0);
    EXPECT_GT(bands(record, 5.0, 6.0), 25);
    EXPECT_GT(record.rows[0].health.stale_speed_ms, 1000u);
  }
}

TEST(NetworkFaults, ALostCabLinkClosesTheRows) {
  for (const std::vector<std::string>& with : {kCab, std::vector<std::string>{}}) {
    const PassRecord record =
        pass({{.kind = "lost_cab_link", .from_s = 3.0, .until_s = 4.5}}, with);
    EXPECT_GT(bands(record, 2.0, 3.0), 25);
    EXPECT_EQ(bands(record, 3.6, 4.5), 0);
    EXPECT_GT(bands(record, 5.0, 6.0), 25);
  }
}

TEST(NetworkFaults, ABusOffMachineHearsNoSpeed) {
  const PassRecord record = pass({{.kind = "bus_off", .from_s = 3.0, .until_s = 4.5}}, kCab);
  EXPECT_GT(bands(record, 2.0, 3.0), 25);
  EXPECT_EQ(bands(record, 3.6, 4.5), 0);
  EXPECT_GT(bands(record, 5.0, 6.0), 25);
  EXPECT_EQ(record.network.cab.bus_offs, 1);
  // Samples at 3.0, 3.1 ... 4.4 s, and the one at 4.5 s: recovery takes 5.6 ms of a free bus.
  EXPECT_EQ(record.network.cab.speed_lost, 16);
}

TEST(NetworkFaults, ABusyBusDelaysTheSpeed) {
  const auto mean_ns = [](const PassRecord& record) {
    const sim::bench::Delays& delays = record.network.cab.delays;
    return delays.sum_ns / std::max<std::int64_t>(1, delays.frames);
  };
  const PassRecord idle = pass({}, kCab);
  const PassRecord busy = pass({{.kind = "busy_bus", .amount_ratio = 0.8}}, kCab);
  EXPECT_GT(mean_ns(busy), mean_ns(idle) + 200'000);
  // A single node of higher priority that asks for all of the bus: the speed waits for a gap.
  std::vector<std::string> urgent = kCab;
  urgent.push_back("network.cab.load_ids=[0x0CF00400]");
  const PassRecord full = pass({{.kind = "busy_bus", .from_s = 3.0, .amount_ratio = 1.0}}, urgent);
  EXPECT_GT(full.network.cab.busy_ns, 2'500'000'000);
  EXPECT_GT(full.network.cab.delays.most_ns, 10 * idle.network.cab.delays.most_ns);
}

TEST(NetworkFaults, EachIsListedInASentence) {
  for (const char* name : {"radio_jammed", "lost_cab_link", "bus_off", "busy_bus"}) {
    const auto& kinds = sim::scenario::fault_kinds();
    const auto found = std::find_if(kinds.begin(), kinds.end(),
                                    [&](const auto& kind) { return kind.name == name; });
    ASSERT_NE(found, kinds.end()) << name;
    EXPECT_TRUE(found->of_machine) << name;
    EXPECT_GT(found->help.size(), 30u) << name;
  }
}

}  // namespace
