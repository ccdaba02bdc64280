// Spacing quality of the seeds at rest, in the two conventions in use; they give different figures on the same seeds.
//
//   simple      shares of the N spacings (Kachman and Smith 1995)
//   ISO 7256-1  shares of the N' theoretical intervals
//   classes by r = x / x_ref: multiple r <= 0.5 < single <= 1.5 < skip <= 2.5 < double skip <= 3.5 < triple skip and more
//
// Input    spacings in any order, theoretical spacing (never the measured mean)       Output   percent as ratios
// Checked  tests/published/spacing_test.cc (worked example)
#pragma once

#include <span>

namespace sim {

struct SpacingIndices {
  double multiples_ratio = 0.0;
  double misses_ratio = 0.0;
  double quality_of_feed_ratio = 0.0;
  double precision_ratio = 0.0;  // sd of the single class over x_ref
};

struct SpacingQuality {
  long long spacings = 0;
  long long classes[5] = {};
  SpacingIndices simple;
  SpacingIndices iso;
  double mean_m = 0.0;
  double sd_m = 0.0;
};

SpacingQuality spacing_quality(std::span<const double> spacings_m, double theoretical_spacing_m);

}  // namespace sim
