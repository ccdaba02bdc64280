// Dose of a pulse over its width: the straight part, its slope and dead time, and where it begins.
//
//   dose = k (w - w0), least squares over the widths from w_k on, where w_k is the smallest width
//   from which every dose lies within `error_ratio` of the line; k slope in m3/s, w0 dead time
//   R2   1 - sum of squared residuals over the sum of squares about the mean
//   standard error of the line's dose at w: s sqrt(1/n + (w - mean)^2/Sww), s^2 = squares/(n - 2)
//   linear share of duty at a repetition f: the longest run of neighbouring duties whose doses lie
//   within `error_ratio` of a straight line of their own
//
// Errors   EXPECTS as many doses as widths, at least three
// Source   dose affine in width above a dead time, linear share falling with repetition: abstract
//          of Trans. CSAE 2016 no. 01-13 (a fast valve driven by pulse width)
// Checked  tests/sim/study/valve/valve_dose_test.cc, tests/published/dose_curve_test.cc
#pragma once

#include <limits>
#include <span>

namespace sim::valve {

struct DoseLine {
  bool found = false;
  double slope_m3ps = 0.0;
  double dead_s = 0.0;
  double r2_ratio = 0.0;
  double from_s = std::numeric_limits<double>::quiet_NaN();  // shortest width on the line
  double to_s = std::numeric_limits<double>::quiet_NaN();
  double worst_ratio = 0.0;  // largest |dose - line| over the dose
  double from_sd_m3 = 0.0;   // standard error of the line's dose at from_s
};

/// The straight part that reaches up to the last width. The widths must rise.
DoseLine dose_line(std::span<const double> widths_s, std::span<const double> doses_m3,
                   double error_ratio);
/// The straight part that covers the widest range of widths, wherever it lies.
DoseLine longest_dose_line(std::span<const double> widths_s, std::span<const double> doses_m3,
                           double error_ratio);

}  // namespace sim::valve
