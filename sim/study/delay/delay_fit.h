// The delay law and its corrections from the errors of bands, by least squares.
//
//   A band whose start is off by e_s was opened e_s/v too late, or b is e_s too long; likewise its
//   end:
//     e_s = d + v (t + l(Q) + l_V(U) + l_mu(mu) + l_r(rest))      lead: opening
//     e_e = d + v (t + g(Q) + g_V(U) + g_mu(mu) + g_r(rest))      lag: closing
//   d distance error, t time error; l, g the table's lead and lag at its points of flow, linear
//   between them as the controller reads them; l_V .. the corrections, zero at the reference
//   voltage and viscosity and for a pulse that stands alone.
//   First d and t alone are fitted (how far the table is off as a whole: what a mis-set controller
//   shows), then everything. The residuals of one simulation serve both fits, as a change of the
//   table moves a band by exactly v dt + dd.
//
//   A correction is left out if none of its points differs from zero by more than its interval; the
//   rest is then fitted again, because noise must not enter a table.
//
//   At constant speed only the sum of a and the lead is seen. What is found goes into lead, lag and
//   b; a is changed so that a + lead0, the delivery time, stays.
//
// Intervals  95 %, sandwich covariance with rows as clusters (G/(G - P)), normal quantile: rows
//            share mount and sensor height, so seeds are no independent draws
// Errors     InputError where speeds and flows do not separate the unknowns
// Source     weighted least squares; cluster-robust covariance: K.-Y. Liang, S. L. Zeger,
//            Biometrika 73(1), 1986 (from memory)
// Checked    tests/sim/study/delay/delay_fit_test.cc
#pragma once

#include <cmath>
#include <cstdint>
#include <span>
#include <vector>

#include "sim/study/delay/delay_seen.h"

namespace sim::delay {

struct TimeFound {
  double value_s = 0.0;
  double half_s = 0.0;  // of the 95 % interval
};

struct PlaceFound {
  double value_m = 0.0;
  double half_m = 0.0;
};

/// Time and distance error of a table as a whole; positive: too late, too far ahead.
struct LawError {
  TimeFound time;
  PlaceFound distance;
  double correlation_ratio = 0.0;
};

/// Corrections that the residuals distinguish from zero: at least one point beyond its interval.
struct Kept {
  bool voltage = true;
  bool viscosity = true;
  bool rest = true;
};

struct DelayFit {
  LawError whole;                    // error of the table that was simulated
  sillion_attachment_table table{};  // corrected
  Kept kept;
  double largest_lead_half_s = 0.0;  // widest interval of lead or lag at the table's points
  double before_rms_m = 0.0, after_rms_m = 0.0;  // of band ends
  long long bands = 0;
  int clusters = 0;
};

struct FitReferences {
  double voltage_v = 12.6;
  double viscosity_pas = 1e-3;
  std::vector<double> voltages_v;       // points of the correction, rising order
  std::vector<double> viscosities_pas;  // points of the correction, rising order
};

/// Seconds or metres as whole microseconds or micrometres of a delay table.
inline std::int32_t micro(double value) {  // tidy: unit the caller's
  return static_cast<std::int32_t>(std::llround(value * 1e6));
}
LawError law_error_of(std::span<const SeenCondition> seen);
DelayFit fit_delay(std::span<const SeenCondition> seen, const sillion_attachment_table& table,
                   const FitReferences& references);

}  // namespace sim::delay
