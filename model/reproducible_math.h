// Elementary functions with the same bits on every processor and for every compiler.
// The C library picks its exp, log, sin and pow by the processor's features: they may not reach
// a result.
//
// Angles   radians
// Errors   as the C library: not-a-number outside the domain, infinities at the poles
// Source   SLEEF 3.5, deterministic scalar functions without fused multiply-add (cinz, purec),
//          error at most 1.0 unit in the last place
// Checked  tests/model/reproducible_math_test.cc
#pragma once

#include <sleef.h>

namespace model {

inline double exp_of(double x_ratio) { return Sleef_cinz_expd1_u10purec(x_ratio); }
inline double expm1_of(double x_ratio) { return Sleef_cinz_expm1d1_u10purec(x_ratio); }
inline double log_of(double x_ratio) { return Sleef_cinz_logd1_u10purec(x_ratio); }
inline double log1p_of(double x_ratio) { return Sleef_cinz_log1pd1_u10purec(x_ratio); }
inline double pow_of(double x_ratio, double y_ratio) {
  return Sleef_cinz_powd1_u10purec(x_ratio, y_ratio);
}
inline double sin_of(double x_rad) { return Sleef_cinz_sind1_u10purec(x_rad); }
inline double cos_of(double x_rad) { return Sleef_cinz_cosd1_u10purec(x_rad); }
inline double tan_of(double x_rad) { return Sleef_cinz_tand1_u10purec(x_rad); }
inline double atan2_of(double y_ratio, double x_ratio) {
  return Sleef_cinz_atan2d1_u10purec(y_ratio, x_ratio);
}
inline double acosh_of(double x_ratio) { return Sleef_cinz_acoshd1_u10purec(x_ratio); }
/// Complement of the error function; error at most 1.5 units in the last place.
inline double erfc_of(double x_ratio) { return Sleef_cinz_erfcd1_u15purec(x_ratio); }

}  // namespace model
