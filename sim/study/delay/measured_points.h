// The delay law from points measured on a bench or in a field, alone or joined with the simulated
// law.
//
//   A band lies `offset` ahead of its seed at speed v with a delay in force. The delay it wants is
//   D = delay - offset/v with standard deviation u/v. Times v, so that the weight is that of the
//   offset:
//     v delay - offset = a v + b + e,   sd of e = u
//   simulated law  two more observations, a0 +- ua and b0 +- ub with their correlation. Where it
//                  differs from the points beyond the 99.9 % limit of chi-square (2 degrees), it is
//                  left out and the result says so: the measurement wins
//   intervals      95 %, 1.96 standard deviations from the stated uncertainties, widened by the
//                  Birge ratio sqrt(chi2/freedom) where that is above 1
//   outlier        a point that is left out of the fit. Its difference from the law of all OTHER
//                  points (so that a wild point cannot mask itself), over the sd of that
//                  difference, widened by the others' Birge ratio above 1, exceeds the normal limit
//                  for 0.05/(2 n): a chance of 5 % at most that a file has one false outlier. The
//                  worst point goes first, then the search starts anew. A point goes only where
//                  leaving out no other point explains the rest as well (chi-squares 3.84 apart,
//                  95 % at one degree); otherwise the two contradict each other. Only from 4 points
//                  on, at most a quarter of them, and never the last second speed.
//
// Errors   InputError with the reason and the nearest workable value: fewer than two speeds; speeds
//          too near each other to give b to `most_distance_half_m`; points that contradict each
//          other (chi-square beyond its 99.9 % limit after outliers)
// Source   weighted least squares; R. T. Birge, Phys. Rev. 40, 1932; deleted residuals with a
//          Bonferroni limit: R. D. Cook, S. Weisberg, Residuals and Influence in Regression, 1982
//          (from memory)
// Checked  tests/sim/study/delay/measured_points_test.cc
#pragma once

#include <optional>
#include <span>
#include <string>
#include <vector>

#include "sim/study/delay/delay_points_csv.h"

namespace sim::delay {

/// A delay law with standard deviations of its two parts.
struct UncertainLaw {
  double time_s = 0.0;      // a
  double time_sd_s = 0.0;   // must be above 0
  double distance_m = 0.0;  // b
  double distance_sd_m = 0.0;
  double correlation_ratio = 0.0;
};

struct JudgedPoint {
  DelayPoint point;
  double residual_m = 0.0;               // offset that the fitted law does not explain
  double standardized_ratio = 0.0;       // residual_m over the stated uncertainty
  double left_out_residual_ratio = 0.0;  // against the law of all others, in sd of that difference
  bool outlier = false;                  // left out of the fit
};

struct MeasuredLaw {
  UncertainLaw law;  // widened by the Birge ratio
  double time_half_s = 0.0;
  double distance_half_m = 0.0;
  double chi_square_ratio = 0.0;  // of the points, to compare with `freedom`
  int freedom = 0;                // 0: any line fits two points, nothing checks them
  double birge_ratio = 0.0;       // not-a-number without freedom
  std::vector<JudgedPoint> points;
  bool prior_given = false;
  bool prior_used = false;
  double prior_chi_square_ratio = 0.0;  // points' own law against the simulated one, 2 degrees
  double outlier_limit_ratio = 0.0;     // 0: too few points to name outliers
};

struct PointRules {
  double most_distance_half_m = 10e-3;
  std::string file;  // for messages
};

/// Refuses points that cannot separate a time error from a distance error: at one speed, or at
/// speeds too near each other for their uncertainties. This check needs no study.
void require_two_speeds(std::span<const DelayPoint> points, const PointRules& rules = {});
MeasuredLaw fit_measured_points(std::span<const DelayPoint> points,
                                const std::optional<UncertainLaw>& simulated = {},
                                const PointRules& rules = {});

}  // namespace sim::delay
