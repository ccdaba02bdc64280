// Keys of [network]: read in people's units, refused where they contradict, and without effect on
// what older scenarios hash to.
#include "sim/scenario/network_keys.h"

#include <gtest/gtest.h>

#include <string>

#include "tests/sim/demo_scenario.h"

namespace {

using sim_test::demo;

std::string refusal(const std::vector<std::string>& sets) {
  try {
    demo(sets);
  } catch (const sim::text::InputError& error) {
    return error.what();
  }
  return "";
}

void expect_refused(const std::vector<std::string>& sets, const std::string& words) {
  EXPECT_NE(refusal(sets).find(words), std::string::npos) << refusal(sets);
}

TEST(NetworkKeys, AreReadInPeoplesUnits) {
  const sim::scenario::NetworkSection network =
      demo({"network.radio.period=0.1 s", "network.radio.bit_rate=1 Mbit/s",
            "network.cab.simulated=true", "network.cab.load=40 %",
            "network.cab.load_ids=[0x18FEF100, 0x0CF00400]", "network.power.awake=12 mA"})
          .network;
  EXPECT_DOUBLE_EQ(network.radio.period_s, 0.1);
  EXPECT_DOUBLE_EQ(network.radio.rate_bitps, 1e6);
  EXPECT_DOUBLE_EQ(network.cab.load_ratio, 0.4);
  EXPECT_EQ(network.cab.load_ids, (std::vector<std::uint32_t>{0x18FEF100, 0x0CF00400}));
  EXPECT_DOUBLE_EQ(network.power.awake_a, 0.012);
}

TEST(NetworkKeys, SlotsHaveToFitThePeriod) {
  // 55 slots of 2 ms are 110 ms.
  EXPECT_EQ(refusal({"row.count=54", "network.radio.period=110 ms"}), "");
  expect_refused({"row.count=54", "network.radio.period=109 ms"},
                 "network.radio.period: 55 time slots of");
  expect_refused({"row.count=55", "network.radio.period=1 s"}, "row.count: 55 rows are too many");
  // (16 + 14) * 8 bits at 100 kbit/s are 2.4 ms.
  expect_refused({"network.radio.period=100 ms", "network.radio.bit_rate=100 kbit/s"},
                 "network.radio.bit_rate: a slot of \"2 ms\" is shorter than the air time");
}

TEST(NetworkKeys, ChancesAndLoadsHaveTheirRange) {
  expect_refused({"network.radio.period=100 ms", "network.radio.lost_bad=110 %"},
                 "network.radio.lost_bad");
  expect_refused({"network.radio.period=100 ms", "network.radio.worsens=-1 %"},
                 "network.radio.worsens");
  expect_refused({"network.cab.simulated=true", "network.cab.load=100 %"}, "network.cab.load");
}

TEST(NetworkKeys, APartThatIsOffHasNoKeys) {
  expect_refused({"network.radio.slot=2 ms"}, "network.radio.slot: needs network.radio.period");
  expect_refused({"network.cab.load=20 %"}, "network.cab.load: needs network.cab.simulated");
  expect_refused({"fault=[{kind = \"bus_off\"}]"}, "fault[0].kind: bus_off needs network.cab");
  expect_refused({"fault=[{kind = \"busy_bus\", amount = \"50 %\"}]"}, "busy_bus needs");
}

TEST(NetworkKeys, IdentifiersAreOfTwentyNineBitsAndOneNodeEach) {
  expect_refused({"network.cab.simulated=true", "network.cab.load_ids=[0x20000000]"},
                 "network.cab.load_ids[0]");
  expect_refused({"network.cab.simulated=true", "network.cab.load_ids=[5, 5]"},
                 "network.cab.load_ids[1]: is sent by another node already");
  expect_refused({"network.cab.simulated=true", "network.cab.load_ids=[0x0CFE49F0]"},
                 "is sent by another node already");
  expect_refused({"network.cab.simulated=true", "network.cab.load_ids=[]"}, "at least one");
}

TEST(NetworkKeys, DefaultsAreNoPartOfTheHash) {
  EXPECT_EQ(sim::scenario::canonical_text(demo()).find("network."), std::string::npos);
  const std::string text = sim::scenario::canonical_text(
      demo({"network.cab.simulated=true", "network.cab.load_ids=[7]"}));
  EXPECT_NE(text.find("network.cab.simulated = true"), std::string::npos);
  EXPECT_NE(text.find("network.cab.load_ids.00000000 = 7"), std::string::npos);
}

// 30 bytes at 250 kbit/s: 960 us. At 300 kbit/s 26 bytes are 693.33 us, rounded up.
TEST(NetworkKeys, AirTimeIsBitsOverRate) {
  sim::scenario::RadioSection radio;
  EXPECT_EQ(sim::scenario::air_time_ns(radio, 16), 960'000);
  radio.rate_bitps = 300e3;
  EXPECT_EQ(sim::scenario::air_time_ns(radio, 12), 693'334);
}

}  // namespace
