#include "sim/scenario/rate_zones.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <string>
#include <vector>

#include "sim/scenario/loader.h"

namespace {

using testing::HasSubstr;

sim::scenario::Scenario with(const std::string& zones) {
  return sim::scenario::load_scenario(std::string(SILLION_SOURCE_DIR) + "/scenarios/demo.toml",
                                      {"rate.zone=" + zones});
}
std::string message(const std::string& zones) {
  try {
    with(zones);
  } catch (const sim::text::InputError& error) {
    return error.what();
  }
  return "no error";
}

// 12 gal/ac is twice the demo's rate: from 2 s to 3 s, nothing from 5 s on.
TEST(RateZones, TheRateOfAnInstantAndOfATime) {
  const sim::scenario::RateSection rate =
      with(
          "[{from = \"2 s\", until = \"3 s\", in_band = \"12 gal/ac\"}, "
          "{from = \"5 s\", in_band = \"0 gal/ac\"}]")
          .rate;
  EXPECT_DOUBLE_EQ(sim::scenario::in_band_share_ratio(rate, 1.999), 1.0);
  EXPECT_DOUBLE_EQ(sim::scenario::in_band_share_ratio(rate, 2.0), 2.0);
  EXPECT_DOUBLE_EQ(sim::scenario::in_band_share_ratio(rate, 3.0), 1.0);
  EXPECT_DOUBLE_EQ(sim::scenario::in_band_rate_m3pm2(rate, 6.0), 0.0);
  const double plain_m3pm2 = rate.in_band_m3pm2;
  EXPECT_NEAR(sim::scenario::mean_in_band_rate_m3pm2(rate, 2.75, 3.75), 1.25 * plain_m3pm2, 1e-18);
  EXPECT_NEAR(sim::scenario::mean_in_band_rate_m3pm2(rate, 4.5, 5.5), 0.5 * plain_m3pm2, 1e-18);
  EXPECT_EQ(sim::scenario::rate_borders_s(rate), (std::vector<double>{2.0, 3.0, 5.0, 1e9}));
  EXPECT_DOUBLE_EQ(sim::scenario::most_share_ratio(rate), 2.0);
  EXPECT_DOUBLE_EQ(sim::scenario::least_share_ratio(rate), 1.0);
}

TEST(RateZones, MistakesAreToldWithTheirKey) {
  EXPECT_THAT(message("3"), HasSubstr("rate.zone: must be a list"));
  EXPECT_THAT(message("[3]"), HasSubstr("each item is a table"));
  EXPECT_THAT(message("[{from = \"3 s\"}]"), HasSubstr("rate.zone[0].in_band: is missing"));
  EXPECT_THAT(message("[{form = \"3 s\", in_band = \"7 gal/ac\"}]"),
              HasSubstr("nearest valid name: `rate.zone[0].from`"));
  EXPECT_THAT(message("[{from = \"3 s\", until = \"2 s\", in_band = \"7 gal/ac\"}]"),
              HasSubstr("the zone is empty"));
  EXPECT_THAT(message("[{in_band = \"7 mm\"}]"), HasSubstr("rate.zone[0].in_band"));
  EXPECT_THAT(message("[{until = \"3 s\", in_band = \"7 gal/ac\"}, "
                      "{from = \"2 s\", in_band = \"5 gal/ac\"}]"),
              HasSubstr("rate.zone[1].from: overlaps rate.zone[0]"));
}

// A scenario without zones keeps the hash that it had.
TEST(RateZones, StandInTheHashOnlyWhereTheyAreStated) {
  const auto plain =
      sim::scenario::load_scenario(std::string(SILLION_SOURCE_DIR) + "/scenarios/demo.toml", {});
  EXPECT_EQ(sim::scenario::canonical_text(plain).find("rate.zone"), std::string::npos);
  const std::string one = sim::scenario::canonical_text(with("[{in_band = \"7 gal/ac\"}]"));
  EXPECT_NE(one.find("rate.zone"), std::string::npos);
  EXPECT_NE(one, sim::scenario::canonical_text(with("[{in_band = \"8 gal/ac\"}]")));
}

}  // namespace
