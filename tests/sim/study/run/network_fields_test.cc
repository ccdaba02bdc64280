// What summary.json and the report say of the network.
#include "sim/study/run/network_fields.h"

#include <gtest/gtest.h>

#include <nlohmann/json.hpp>

namespace {

sim::run::RunResult result() {
  sim::run::RunResult made;
  made.record.network.down.sent = 10;
  made.record.network.down.delays.add(shared::milliseconds(10));
  made.record.network.down.delays.add(shared::milliseconds(20));
  made.record.network.cab.busy_ns = 3'000'000'000;
  made.record.network.power.push_back({.coil_j = 2.0, .lasted_s = 10.0, .mean_w = 1.5});
  return made;
}

TEST(NetworkFields, ShowOnlyWhatIsStated) {
  sim::run::RunResult made = result();
  EXPECT_FALSE(sim::run::network_stated(made.scenario));
  EXPECT_EQ(sim::run::network_section(made), "");
  made.scenario.network.radio.period_s = 0.1;
  EXPECT_TRUE(sim::run::network_stated(made.scenario));
  const nlohmann::ordered_json radio = sim::run::network_fields(made);
  EXPECT_FALSE(radio.contains("cab"));
  EXPECT_EQ(radio["radio"]["down"]["sent"], 10);
  EXPECT_NEAR(radio["radio"]["down"]["mean_delay_s"].get<double>(), 0.015, 1e-12);
  EXPECT_TRUE(radio["radio"]["up"]["mean_delay_s"].is_null());
}

TEST(NetworkFields, BusAndPower) {
  sim::run::RunResult made = result();
  made.scenario.network.cab.simulated = true;
  made.scenario.network.power.awake_a = 0.01;
  const nlohmann::ordered_json fields = sim::run::network_fields(made);
  EXPECT_NEAR(fields["cab"]["busy_ratio"].get<double>(), 0.3, 1e-12);
  EXPECT_EQ(fields["power"][0]["mean_w"], 1.5);
  const std::string section = sim::run::network_section(made);
  EXPECT_NE(section.find("1.500 W"), std::string::npos);
  EXPECT_NE(section.find("30.0 %"), std::string::npos);
}

}  // namespace
