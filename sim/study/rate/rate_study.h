// The figures of a plan: rates, product, tank, machine, valve, seed.
//
//   f                    treated share over the meter's law (sim/study/rate/treated_share.h), or
//                        over measured spacings; 1 for a stream
//   in band, average     a = q f; from q, from a, or from r0 and s: a = r0 (f + s (1 - f)), q = a/f
//   kept                 what stays in the tank compared with an unbroken stream: r0 - a, where r0
//                        is the former rate, else the in-band rate (each zone's own)
//   refills              where the tank runs empty with the plan, and where with that stream
//   volume of a seed     a times the area of a seed
//   flow of a row        mean a w v, in the band q w v; and the pressure that gives the latter
//                        through valve, tube and outlet of the scenario (model::steady_flow_m3ps)
//   speeds               at which the supply's least and most pressure give exactly q w v
//   told apart           up to v / (B + v t) seeds per second, t the valve's shortest closed time
//   duty                 mean share of time with the valve open: B over the spacing
//   power                current squared times resistance times duty, all rows
//   cycles               one per seed, over the season's area divided by the rows
//
// Errors   InputError, as the loader; no pass is run
// Source   scenarios/manual/words.md; the trade's own unit identities (tests/published)
// Checked  tests/sim/study/rate/rate_plan_test.cc, tests/published/rate_plan_test.cc
#pragma once

#include <string>
#include <vector>

#include "model/valve/wear.h"
#include "sim/study/rate/rate_plan.h"
#include "sim/study/rate/seed_limits.h"

namespace sim::rate {

/// Mass of N, P2O5 and K2O over area.
struct Nutrients {
  double n_kgpm2 = 0.0, p2o5_kgpm2 = 0.0, k2o_kgpm2 = 0.0;
  double salt_kgpm2() const { return n_kgpm2 + k2o_kgpm2; }
};

struct Delivery {
  bool served = false;
  double peak_flow_m3ps = 0.0;  // for one row, inside the band
  double mean_flow_m3ps = 0.0;  // for one row
  double pressure_pa = 0.0;     // that gives the peak; the supply's most where none does
  double lowest_m3ps = 0.0, highest_m3ps = 0.0;  // at the supply's least and most pressure
  double margin_up_ratio = 0.0;    // highest over peak, less 1; negative: out of reach
  double margin_down_ratio = 0.0;  // 1 less lowest over peak
  double slowest_mps = 0.0, fastest_mps = 0.0;
};

struct ZonePlan {
  Zone zone;
  double average_m3pm2 = 0.0;
  double volume_m3 = 0.0;
  Delivery delivery;
  double rise_ahead_m = 0.0;  // pressure must begin to rise this far before the border; 0: it falls
};

struct TankRefill {
  double after_m2 = 0.0;  // of the field so far
  int pass = 0;           // from 1; 0: no pass length stated
  double along_m = 0.0;   // in that pass
  std::string zone;       // empty: no zones
};

enum class RateTrouble : std::uint8_t {
  kNone,
  kNotDeliverable,
  kOverLabel,
  kUrea,
  kOverLimit,
};

struct RateResult {
  RatePlan plan;
  bool continuous = false;
  double treated_ratio = 1.0;
  double in_band_m3pm2 = 0.0, average_m3pm2 = 0.0;  // means over zones, where there are zones
  double highest_in_band_m3pm2 = 0.0;               // of all zones: the most that a seed meets
  double stream_m3pm2 = 0.0;  // the unbroken stream that the plan is compared with
  double seed_m3 = 0.0;
  double row_m3pm = 0.0, in_band_row_m3pm = 0.0;
  double kept_m3pm2 = 0.0, kept_m3 = 0.0, kept_money = 0.0;  // tidy: unit is the currency
  double needed_m3 = 0.0, needed_money = 0.0;                // tidy: unit is the currency
  double tank_m2 = 0.0;  // area that one tank serves; 0: no tank stated
  std::vector<TankRefill> refills;
  double stream_tank_m2 = 0.0;  // area that one tank serves as a stream; 0: no tank stated
  std::vector<TankRefill> stream_refills;  // with the unbroken stream over the same field
  double seeds_hz = 0.0;                   // for one row
  double told_apart_hz = 0.0;
  double duty_ratio = 0.0;
  double cycles_ratio = 0.0;  // for one valve, this season
  double valve_m3 = 0.0;      // through one valve
  double season_m2 = 0.0;
  model::LifeLeft life;  // its area_m2 is that of one row
  double power_w = 0.0;
  double tank_time_s = 0.0;  // time in which one tank is applied
  Delivery delivery;         // of the one rate, or of the zone with the least margin
  std::vector<ZonePlan> zones;
  Nutrients average, in_band;
  std::vector<SeedLimit> limits;
  RateTrouble trouble = RateTrouble::kNone;
};

/// The scenario of the plan with the resulting rate, as `run` would pass it.
scenario::Scenario planned_scenario(const RateResult& result);
RateResult study_rate(const RatePlan& plan);
/// Treated share of the plan's seeds with bands of that length.
double treated_share_ratio(const scenario::Scenario& scenario, double band_length_m);
/// In-band and field-average rate at a treated share, from the rate that the plan gives.
struct BothRates {
  double in_band_m3pm2 = 0.0, average_m3pm2 = 0.0;
};
BothRates rates_at(const RatePlan& plan, double treated_ratio);

/// The volumes to collect below one row at a set speed, in 30 s and in 500 pulses.
struct CatchTest {
  double speed_mps = 0.0;
  double in_30s_m3 = 0.0, in_500_pulses_m3 = 0.0;
  double pulses_in_30s = 0.0;  // tidy: unit 1
  double limit_ratio = 0.1;    // allowed relative difference, as the demo allows for a dose
};
CatchTest catch_test_of(const RateResult& result);

}  // namespace sim::rate
