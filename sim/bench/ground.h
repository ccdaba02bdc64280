// The ground of one row: parcels that leave the outlet become bands, pulse by pulse.
//
//   A pulse owns what leaves the outlet from 0.9 L/a after its on command until 0.9 L/a after the
//     next on command.
//   Liquid is `secondary` once the outlet flow, after the off command, has fallen below 5 % of its
//     steady value.
//   When a pulse's ownership ends, its parcels are measured against the seeds and dropped: memory
//     stays constant.
//   A stretch of more than kParcelsMost parcels is thinned by joining neighbours of one kind.
//
// Frame    ground, along the row's own track
// Source   this project's definitions, scenarios/manual/measures.md
// Checked  tests/sim/bench/ground_test.cc
#pragma once

#include <vector>

#include "model/furrow/deposit.h"
#include "sim/bench/seed_way.h"
#include "sim/measure/record.h"

namespace sim::bench {

struct GroundRules {
  double band_length_m = 0.075;
  double commanded_dose_m3 = 0.0;
  double owned_after_s = 0.0;  // 0.9 L/a
  double dribble_mps = 0.0;
  bool continuous = false;        // an unbroken stream has no bands
  double density_from_x_m = 0.0;  // window whose line density is kept for the report
  double density_length_m = 0.0;
};

class Ground {
 public:
  Ground(const GroundRules& rules, const SeedWay& way, measure::RowRecord& record);

  /// `set_ratio`: the rate that is set now over that of the commanded dose.
  void valve_commanded_on(double time_s, double steady_flow_m3ps, double set_ratio = 1.0);
  void valve_commanded_off(double time_s);
  /// Liquid that left during a step that ended at time_s, landing at x.
  void take(double time_s, double volume_m3, double flow_m3ps, double jet_speed_mps,
            double x_ground_m);
  void finish();

  /// The way has other seeds than before: some came, or some were let go.
  void seeds_changed();
  /// Seeds follow on those that were known: what fell ahead of these lies at work after all.
  /// `first`: they are the row's first, and what fell before lies ahead of the work.
  void work_goes_on(bool first);
  /// Since when the pulse lasts whose band is not closed; `now_s` where there is none.
  double open_from_s(double now_s) const;
  /// When the valve was last commanded off, if no pulse is under way or waits; else not-a-number.
  double resting_since_s() const;
  /// Closes the band of a pulse that is long over; what leaves later belongs to no band.
  void close_early();

 private:
  void close_band();
  void measure(model::BandShape& shape, measure::BandRecord& band);
  void thin();

  static constexpr std::size_t kParcelsMost = 1u << 16;
  GroundRules rules_;
  const SeedWay& way_;
  measure::RowRecord& record_;
  std::vector<int> seeds_by_rest_;
  std::vector<model::Parcel> parcels_;
  struct Pulse {
    double on_s = 0.0;
    double off_s = statistics::kNone_ratio;
    double steady_flow_m3ps = 0.0;
    double set_ratio = 1.0;
  };
  std::vector<Pulse> pulses_;  // commanded and not yet owning, oldest first
  Pulse owner_{};
  bool has_owner_ = false;
  bool below_five_percent_ = false;
  double ahead_of_work_m3_ = 0.0;  // landed ahead of record.work_end_x_m
};

}  // namespace sim::bench
