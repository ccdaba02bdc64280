// The seed meter: which seeds pass the sensor, as places along the row's own track (the meter is
// geared to travel).
//
//   slot k sits at x = k * spacing, moved by its scatter, cut off at half a spacing so that slots
//   keep their order. kind = draw: [0, skips) none, [skips, skips + doubles) two, else one. The
//   second seed of a double follows double_gap behind the first; it may fall past the next slot's
//   seed: sort by place before use.
//
// Scatter is of each seed's place, so spacings between singles have sqrt(2) times its sd.
// State    none: slot k is a pure function of its draws, so any order of calls gives the same seeds
// Errors   EXPECTS spacing > 0, ratios not negative, skips + doubles <= 1
// Source   scatter, doubles and skips are inputs; classes of ISO 7256-1 are read back in tests
// Checked  tests/model/seed/seed_meter_test.cc
#pragma once

namespace model {

struct SeedMeterParams {
  double spacing_m = 0.15;      // theoretical spacing
  double scatter_ratio = 0.12;  // sd of a seed's place over spacing, above the sensor
  double doubles_ratio = 0.015;
  double skips_ratio = 0.015;
  double double_gap_min_ratio = 0.05;  // gap to the second seed over spacing, uniform
  double double_gap_max_ratio = 0.30;
};

struct SeedMeterDraws {
  double kind_uniform_ratio = 0.5;  // [0,1): skip, double or single
  double scatter_normal_ratio = 0.0;
  double gap_uniform_ratio = 0.5;
};

struct MeteredSlot {
  int seeds = 1;                 // 0, 1 or 2
  double x_at_sensor_m[2] = {};  // row travel at which each passes the sensor, first <= second
};

MeteredSlot metered_slot(const SeedMeterParams& params, long long slot,
                         const SeedMeterDraws& draws);

}  // namespace model
