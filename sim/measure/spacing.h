// Spacing quality of the seeds at rest, in the two conventions in use; they give different figures
// on the same seeds.
//
//   classes by r = x / x_ref   I multiple r <= 0.5 < II single <= 1.5 < III skip <= 2.5
//                              < IV double skip <= 3.5 < V triple skip and more
//   simple (Kachman and Smith 1995), shares of the N spacings
//                              D = I/N, M = (III + IV + V)/N, A = II/N
//   ISO 7256-1, shares of the N' = II + 2 III + 3 IV + 4 V theoretical intervals
//                              n2 = I, n1 = N - 2 n2, n0 = III + 2 IV + 3 V;  D, A, M = n2, n1, n0
//                              over N'; A can turn negative when most spacings are multiples
//   precision                  sd of the single class over x_ref: divisor n - 1 simple, n ISO
// Edges of classes have a slack of 1e-9 of x_ref, so that places read in mm keep their class in
// metres.
//
// Input    spacings in any order, theoretical spacing (never the measured mean)
// Output   ratios (not percent); not-a-number where the denominator is 0 or an sd lacks spacings
// Errors   EXPECTS theoretical spacing > 0
// Source   Kachman and Smith 1995, Trans. ASAE 38(2):379, as quoted by extension pages; the ISO
//          form as in GB/T 6973, a modified adoption of ISO 7256-1, from memory
// Checked  tests/published/spacing_test.cc (worked example)
#pragma once

#include <array>
#include <span>

#include "sim/statistics/running.h"

namespace sim::measure {

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

/// Spacings that come one by one and are not kept.
struct SpacingSums {
  std::array<long long, 5> classes{};
  statistics::Moments singles, all;
  void take(double spacing_m, double theoretical_spacing_m);
  void take(const SpacingSums& other);
};
SpacingQuality spacing_quality(const SpacingSums& sums, double theoretical_spacing_m);
SpacingQuality spacing_quality(std::span<const double> spacings_m, double theoretical_spacing_m);

}  // namespace sim::measure
