// When a plunger starts and when it lands, from a flux linkage y(t) and the current at the same
// times.
//
//   start    y = y0 + c1 B1(t; t0) + c2 B2(t; t0). B1 is the double integral of i - i(t0) from t0
//            on; B2 is that of the force that answers to the lift (pressure on an opening seat, or
//            a stiffness). y starts as a cubic, so a threshold would be late by the part that noise
//            hides; the fit is not. c1 = Kf^2/m is a constant of the valve: fits of other starts
//            may hand it on as a prior
//   landing  y is one polynomial before and another after, and both meet at the kink, which is
//            scanned for
//   sd       noise of y through the fit's covariance; the noise is at least the rms of the
//            residuals
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
  double start_a = 0.0;   // current at start_s
  double level_vs = 0.0;  // y before start_s
  double level_sd_vs = 0.0;
  double drive_ratio = 0.0;     // tidy: unit c1
  double drive_sd_ratio = 0.0;  // tidy: unit of c1, of what is not known of the answer
  double gain_ratio = 0.0;  // how much the motion explains: drop of the squares over the noise's
};

struct MotionData {
  std::span<const double> t_s, i_a, y_vs;
  double earliest_s = 0.0, latest_s = 0.0;  // the start is searched between them
  double noise_vs = 0.0;
  double inductance_sd_h = 0.0;
  double height_vs = 0.0;  // height of y at the other end of the travel
  bool opening = true;
  bool quick = false;  // one fit only: enough where the next round fits again
  /// Where y may jump by a fitted amount: the voltage steps there between two samples.
  double step_s = std::numeric_limits<double>::quiet_NaN();
  /// Shape of an error of y that is fitted along, of `inductance_sd_h`; empty: the current's.
  std::span<const double> error_shape_ratio = {};
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
