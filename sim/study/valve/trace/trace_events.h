// When a plunger starts and when it lands, out of a flux linkage y(t) and the current beside it.
//
//   start    y = y0 + c1 B1(t; t0) + c2 B2(t; t0): B1 the double integral of i - i(t0) from t0 on,
//            B2 the double integral of B1 (springs and what else answers to the way). A threshold
//            would be late by what noise hides of a cubic; the fit is not. c1 = Kf^2/m is the
//            valve's own: fits of other starts may hand it on as a prior
//   landing  y is a polynomial before, another after, and both meet at the kink; scanned
//   sd       noise of y through the fit's covariance, at least the residuals' own size
//
// Source   least squares with a common value at the joint: segmented regression, textbook
// Checked  tests/sim/study/valve/trace/trace_pulses_test.cc, tests/published/valve_trace_test.cc
#pragma once

#include <span>

#include "sim/study/valve/trace/trace_pulses.h"

namespace sim::valve {

struct MotionPrior {
  double drive_ratio = 0.0;  // tidy: unit c1: V s a (A s2); 0: none
  double sd_ratio = 0.0;     // tidy: unit of c1
};

struct MotionFit {
  bool found = false;
  double start_s = 0.0;
  double start_sd_s = 0.0;
  double start_a = 0.0;   // current there
  double level_vs = 0.0;  // y before
  double level_sd_vs = 0.0;
  double drive_ratio = 0.0;     // tidy: unit c1
  double drive_sd_ratio = 0.0;  // tidy: unit of c1, of what is not known of the answer
  double gain_ratio = 0.0;      // how much the motion explains: drop of squares over the noise's
};

struct MotionData {
  std::span<const double> t_s, i_a, y_vs;
  double earliest_s = 0.0, latest_s = 0.0;  // where the start is looked for
  double noise_vs = 0.0;
  double inductance_sd_h = 0.0;
  double height_vs = 0.0;  // of y at the other end of the way
  bool opening = true;
  bool quick = false;  // one fit: enough for what the next round looks at again
  /// Where y may jump by an amount of its own: a voltage that steps between two samples.
  double step_s = std::numeric_limits<double>::quiet_NaN();
};

MotionFit fit_motion(const MotionData& data, const MotionPrior& prior);

struct KinkFit {
  bool found = false;
  double at_s = 0.0;
  double at_sd_s = 0.0;
  double level_vs = 0.0;
  double slope_before_v = 0.0, slope_after_v = 0.0;
};

/// A kink near coarse_s within the samples given.
KinkFit fit_kink(std::span<const double> t_s, std::span<const double> y_vs, double coarse_s,
                 double reach_s, double noise_vs);

}  // namespace sim::valve
