// The seed meter: which seeds pass the sensor, as places along the row's own track (the meter is geared to travel).
//
//   slot k sits at x = k * spacing. A slot is skipped, single, or double; every seed has its own scatter, truncated so
//   that seeds stay in order of their slots up to half a spacing; the second of a double follows at double_gap behind.
//
// State    none: slot k is a pure function of its draws, so any order of calls gives the same seeds
// Source   scatter, doubles and skips are inputs; classes of ISO 7256-1 are read back in tests
// Checked  tests/model/seed_meter_test.cc
#pragma once

namespace model {

struct SeedMeterParams {
  double spacing_m = 0.15;            // theoretical spacing
  double scatter_ratio = 0.12;        // sd over spacing, above the sensor
  double doubles_ratio = 0.015;
  double skips_ratio = 0.015;
  double double_gap_min_ratio = 0.05; // gap to the second seed, over spacing, uniform between the two
  double double_gap_max_ratio = 0.30;
};

struct SeedMeterDraws {
  double kind_uniform_ratio = 0.5;  // [0,1): skip, double or single
  double scatter_normal_ratio = 0.0;
  double gap_uniform_ratio = 0.5;
};

struct MeteredSlot {
  int seeds = 1;                  // 0, 1 or 2
  double x_at_sensor_m[2] = {};   // row travel at which each passes the sensor, first <= second
};

MeteredSlot metered_slot(const SeedMeterParams& params, long long slot, const SeedMeterDraws& draws);

}  // namespace model
