// The figures of a pass, as scenarios/manual/results.md names them. Every share has its denominator
// in its name.
//
//   own band           a seed's band of its own, strong or weak; merged stretches are no own bands
//   placement error    over seeds with a band of their own
//   length, dose,      over seeds with a band of their own; sensed ones where the name says sensed;
//   on target          on target only where the bench kept the seed's own parcels
//   secondary          mean over the bands that belong to seeds (own and merged)
//   gap                liquid outside the union of all wanted bands over all liquid applied
//   in-band rate       mean dose of own bands / (row width * commanded B)
//   field rate         applied volume / (row width * way travelled while at work)
//   balance            |in - out - stored| over what went in
// Quantiles and sd: sim/statistics/spread.h. Break-even: sim/measure/break_even.h; a good seed of a
// merged stretch enters it with the larger of the stretch's two end misses as its error.
//
// Checked  tests/sim/measure/summary_test.cc
#pragma once

#include <cstdint>
#include <span>
#include <string>
#include <vector>

#include "model/furrow/jet_shape.h"
#include "sim/measure/placement.h"
#include "sim/measure/record.h"
#include "sim/measure/spacing.h"
#include "sim/measure/witness.h"
#include "sim/scenario/scenario.h"
#include "sim/statistics/spread.h"

namespace sim::measure {

struct WithinTolerance {
  double tolerance_m = 0.0;
  double placed_ratio = statistics::kNone_ratio;  // of all seeds placed
  double sensed_ratio = statistics::kNone_ratio;  // of sensed seeds
  double lower95_ratio =
      statistics::kNone_ratio;  // one-sided lower 95 % bound of sensed_ratio, by clusters (rows)
};

struct SeedCounts {
  long long placed = 0, sensed = 0, banded = 0, merged = 0, shared = 0, edge_missed = 0,
            no_band = 0, weak = 0;
};

struct Figures {
  SeedCounts seeds;
  long long stray_bands = 0;
  int lag_seeds = 0;          // of all rows the winning lag furthest from 0
  WithinTolerance within[3];  // 10 mm, 25 mm, half the band
  statistics::Spread placement_error;
  statistics::Spread band_length;
  long long own_bands_sensed = 0;  // sensed seeds with a band of their own
  double dose_within_10_percent_sensed_ratio =
      statistics::kNone_ratio;  // of sensed seeds with an own band
  double length_within_10mm_sensed_ratio = statistics::kNone_ratio;
  double on_target_mean_ratio = statistics::kNone_ratio,
         on_target_p05_ratio = statistics::kNone_ratio;
  double dose_mean_m3 = statistics::kNone_ratio, dose_sd_m3 = statistics::kNone_ratio;
  double gap_ratio = statistics::kNone_ratio;
  double secondary_mean_ratio = statistics::kNone_ratio;
  double in_band_rate_m3pm2 = statistics::kNone_ratio;
  double field_rate_m3pm2 = statistics::kNone_ratio;
  double applied_volume_m3 = 0.0;
  // In a curve the liquid lands beside the row's track, away from the centre: mean by volume and
  // the farthest; 0 where the way is straight.
  double outward_mean_m = 0.0, outward_max_m = 0.0;
  double balance_residual_ratio = 0.0;  // over throughput, largest of the rows
};

/// A jet may move the seed where it is free, its thrust exceeds the seed's weight and it passes so
/// close that mounting scatter can bring it onto a seed: distance of the landing line from the seed
/// line (lateral clearance plus the reach sideways, either side) below half the bore + half a
/// seed's length + 2 sd of the outlet's mounting (taken as exact sideways as along the row). Liquid
/// guided down a surface has lost its jet. A thrust below the weight cannot lift a seed; that it
/// may still roll one on a smooth floor is not modelled.
struct JetFigures {
  double speed_mps = statistics::kNone_ratio;                      // volume-weighted mean
  double thrust_over_seed_weight_ratio = statistics::kNone_ratio;  // at that speed
  bool may_move_seed = false;
  // below: at that speed and the nominal drop height, of the jet's own diameter bore * sqrt(Cd)
  model::JetNumbers numbers{statistics::kNone_ratio, statistics::kNone_ratio,
                            statistics::kNone_ratio};
  double breakup_length_m = statistics::kNone_ratio;
  double flight_path_m =
      statistics::kNone_ratio;  // from outlet, or from the end of a guide, to the floor
  double breakup_drop_m = statistics::kNone_ratio;
  double least_jetting_speed_mps =
      statistics::kNone_ratio;                           // mean in the bore, rim wetted to the bore
  double splash_ratio = statistics::kNone_ratio;         // We^.5 Re^.25 where it lands
  double landing_clearance_m = statistics::kNone_ratio;  // landing line to seed line
  double guide_time_s = statistics::kNone_ratio;         // on the surface, by the stated speed
  double guide_least_time_s = statistics::kNone_ratio;   // in free fall from the jet's speed
  double guide_most_time_s = statistics::kNone_ratio;    // as a film over the whole width
  bool breaks_up = false;                                // before the floor
  bool drips = false;
  bool splashes = false;
  bool guide_speed_outside = false;  // of both bounds
};

struct RequirementResult {
  std::string name;  // metric with its sense
  std::string unit;
  double limit = 0.0;  // tidy: unit is the metric's
  double value = 0.0;  // tidy: unit is the metric's
  bool holds = false;
  // negative: violated by this much
  double margin = statistics::kNone_ratio;         // tidy: unit is the metric's
  bool seen = true;                                // false: nothing in the pass to judge by
  long long good = -1, total = -1;                 // of a share; -1: no share
  double lower95_ratio = statistics::kNone_ratio;  // of a share, one-sided
  Witness worst;
  std::string place;  // of the file where it stands
};

enum class Verdict : std::uint8_t { kHold, kFail, kWrongSeed, kNone, kNoData };

struct Summary {
  Figures all;
  std::vector<Figures> rows;
  SpacingQuality spacing;
  JetFigures jet;
  sillion_health health{};  // summed over rows
  double break_even_scatter_m =
      statistics::kNone_ratio;  // extra below the sensor that loses 95 % within 10 mm
  double simulated_s = 0.0;
  Verdict verdict = Verdict::kNone;
  std::vector<RequirementResult> requirements;
};

PlacementRules placement_rules_of(const scenario::Scenario& scenario);
/// Matches bands (fills the rows' fields) and sums up. Rows of several runs may stand one after the
/// other: each is a cluster. A requirement whose value is not-a-number does not hold.
/// Verdict: wrong seed (also without requirements) before fail before no data before hold; none
/// where there are no requirements.
/// Errors   std::invalid_argument when a requirement names no metric of the catalog
Summary summarize(std::span<RowRecord> rows, const scenario::Scenario& scenario,
                  double simulated_s);
/// Adds what is required of every run that does not say otherwise, where it is violated: no seed
/// without room in the queue, no firing instant that had passed, no edge lost before it was read. A
/// scenario says otherwise by a requirement of its own on that metric, or by a fault that disturbs
/// what reaches a controller (FaultKind::disturbs).
void require_health(Summary& summary, std::span<const RowRecord> rows,
                    const scenario::Scenario& scenario);
JetFigures jet_figures(std::span<const RowRecord> rows, const scenario::Scenario& scenario);
const char* verdict_word(Verdict verdict);  // "hold" | "fail" | "wrong seed" | "none" | "no data"

}  // namespace sim::measure
