// A rate that changes on the way, bench and firmware together: what the first bands behind a border
// miss, with the pressure first and, by a firmware that tells its rows at once, without.
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <string>
#include <vector>

#include "sim/scenario/rate_zones.h"
#include "sim/study/run/applied.h"
#include "sim/study/run/first_bands.h"
#include "sim/study/run/run.h"
#include "tests/sim/demo_scenario.h"

namespace {

using sim::run::FirstBands;
using sim::run::RunResult;

constexpr double kBorder_s = 4.0;

std::string zones(const std::string& more) {
  return "rate.zone=[{from = \"4 s\", in_band = \"" + more + "\"}]";
}
RunResult run_of(std::vector<std::string> sets) {
  sets.insert(sets.begin(), "seeds=240");
  return sim::run::run_scenario(sim_test::quiet_demo(sets), {});
}
std::string rows_first() {
  return "controller.library=\"" + std::string(SILLION_BINARY_DIR) +
         "/tests/libfaulty_rows_first.so\"";
}
FirstBands first_of(const RunResult& run) {
  for (const FirstBands& one : sim::run::first_bands_of(run))
    if (one.after == sim::run::kAfterNewRate) return one;
  ADD_FAILURE() << "no new rate";
  return {};
}
/// How long behind the border a band is off its commanded dose by more than a share.
double within_s(const RunResult& run, double share_ratio) {
  const sim::measure::PlacementRules rules = sim::measure::placement_rules_of(run.scenario);
  double last_s = 0.0;
  for (const sim::measure::RowRecord& row : run.record.rows)
    for (const sim::measure::BandRecord& band : row.bands) {
      const double asked_m3 = sim::measure::commanded_dose_m3(band, rules);
      if (band.open_s >= kBorder_s && std::abs(band.dose_m3 - asked_m3) > share_ratio * asked_m3)
        last_s = std::max(last_s, band.open_s - kBorder_s);
    }
  return last_s;
}
/// Spread of the first 10 bands' errors against those of the 40 bands before the border.
double worst_shift_m(const RunResult& run) {
  double worst_m = 0.0;
  for (const sim::measure::RowRecord& row : run.record.rows) {
    double mean_m = 0.0;
    int before = 0, behind = 0;
    for (const sim::measure::SeedRecord& seed : row.seeds)
      if (sim::measure::has_own_band(seed) && seed.edge_s >= 2.5 && seed.edge_s < 3.9) {
        mean_m += seed.placement_error_m;
        ++before;
      }
    mean_m /= before;
    for (const sim::measure::SeedRecord& seed : row.seeds)
      if (sim::measure::has_own_band(seed) && seed.edge_s >= kBorder_s && ++behind <= 10)
        worst_m = std::max(worst_m, std::abs(seed.placement_error_m - mean_m));
  }
  return worst_m;
}

// The dose is the regulator's: tau ln(0.306/0.0975) = 0.23 s upwards, tau ln(0.5625/0.1025) =
// 0.34 s downwards, tau 0.2 s; 40 ms for the bus, slots of 10 ms, and the column.
TEST(RateZonesOnTheBench, FirstTenBandsAndTheTimeToFivePercent) {
  struct Case {
    const char* rate;
    double bound_s;
  };
  for (const Case& one : {Case{"7.2 gal/ac", 0.27}, Case{"4.8 gal/ac", 0.38}}) {
    const RunResult ordered = run_of({zones(one.rate)});
    const RunResult at_once = run_of({zones(one.rate), rows_first()});
    const FirstBands bands = first_of(ordered), other = first_of(at_once);
    const double shift_m = worst_shift_m(ordered), other_shift_m = worst_shift_m(at_once);
    const double after_s = within_s(ordered, 0.05);
    std::printf(
        "6 to %s: first %d bands shift by %.2f mm at most (rows first %.2f), dose %.1f %% in the "
        "mean (%.1f), %.1f to %.1f %% (%.1f to %.1f); within 5 %% after %.3f s (%.3f)\n",
        one.rate, bands.bands, 1e3 * shift_m, 1e3 * other_shift_m, 100.0 * bands.share_mean_ratio,
        100.0 * other.share_mean_ratio, 100.0 * bands.share_least_ratio,
        100.0 * bands.share_most_ratio, 100.0 * other.share_least_ratio,
        100.0 * other.share_most_ratio, after_s, within_s(at_once, 0.05));
    EXPECT_LE(after_s, one.bound_s);
    EXPECT_LE(shift_m, other_shift_m);
    EXPECT_LE(shift_m, 1.5e-3);
  }
}

// Doses are judged against the rate of their zone, and applied.csv sets it.
TEST(RateZonesOnTheBench, DoseAndSetRateAreTheZones) {
  const RunResult run = run_of({zones("4.8 gal/ac")});
  const RunResult plain = run_of({});
  EXPECT_GT(run.summary.all.dose_within_10_percent_sensed_ratio, 0.95);
  EXPECT_NEAR(plain.summary.all.dose_within_10_percent_sensed_ratio, 1.0, 0.02);
  const std::vector<sim::run::AppliedSecond> all = sim::run::applied_of(run);
  const double plain_m3pm2 = run.scenario.rate.in_band_m3pm2;
  EXPECT_DOUBLE_EQ(all.at(2).in_band_set_m3pm2, plain_m3pm2);
  EXPECT_NEAR(all.at(6).in_band_set_m3pm2, 0.8 * plain_m3pm2, 1e-3 * plain_m3pm2);
  EXPECT_NEAR(all.at(6).in_band_m3pm2, all.at(6).in_band_set_m3pm2, 0.03 * plain_m3pm2);
  EXPECT_NEAR(all.at(6).field_set_m3pm2, 0.4 * all.at(6).in_band_set_m3pm2, 1e-18);
}

// Nothing is laid from 20 ms behind a border of rate 0 on, and the bands behind the zone have the
// pressure of before at once. A seed on its way when the rate comes back gets no band.
TEST(RateZonesOnTheBench, RateZeroLaysNothing) {
  const RunResult run =
      run_of({"rate.zone=[{from = \"4 s\", until = \"5 s\", in_band = \"0 gal/ac\"}]"});
  for (const sim::measure::RowRecord& row : run.record.rows) {
    int inside = 0, behind = 0;
    for (const sim::measure::BandRecord& band : row.bands) {
      inside += band.open_s > 4.02 && band.open_s < 5.0 ? 1 : 0;
      behind += band.open_s >= 5.0 && band.open_s < 6.0 ? 1 : 0;
    }
    EXPECT_EQ(inside, 0);
    EXPECT_GE(behind, 25);
  }
  EXPECT_NEAR(first_of(run).share_mean_ratio, 1.0, 0.05);
}

// Over the cab's bus the frame takes its bits and waits for its turn: a few ms, and the same bands.
TEST(RateZonesOnTheBench, TheRateComesOverTheCabsBus) {
  const RunResult run =
      run_of({zones("7.2 gal/ac"), "network.cab.simulated=true", "network.cab.load=\"40 %\""});
  EXPECT_LE(within_s(run, 0.05), 0.28);
  EXPECT_NEAR(sim::run::applied_of(run).at(6).in_band_m3pm2, 1.2 * run.scenario.rate.in_band_m3pm2,
              0.03 * run.scenario.rate.in_band_m3pm2);
}

}  // namespace
