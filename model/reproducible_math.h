// The functions beyond + - * / sqrt, with the same bits on every processor and with every compiler.
//
// The C library's exp, log, sin and pow change their bits with the processor's features; SLEEF's cinz functions do not.
// Errors   at most 1 unit in the last place; not-a-number in gives not-a-number out
// Source   SLEEF 3.5, deterministic scalar functions in plain C (cinz: same result without fused multiply-add)
// Checked  tests/model/reproducible_math_test.cc
#pragma once

#include <sleef.h>

namespace model {

inline double exp_of(double x_ratio) { return Sleef_cinz_expd1_u10purec(x_ratio); }
inline double expm1_of(double x_ratio) { return Sleef_cinz_expm1d1_u10purec(x_ratio); }
inline double log_of(double x_ratio) { return Sleef_cinz_logd1_u10purec(x_ratio); }
inline double pow_of(double base_ratio, double power_ratio) { return Sleef_cinz_powd1_u10purec(base_ratio, power_ratio); }
inline double sin_of(double angle_rad) { return Sleef_cinz_sind1_u10purec(angle_rad); }
inline double cos_of(double angle_rad) { return Sleef_cinz_cosd1_u10purec(angle_rad); }
inline double tan_of(double angle_rad) { return Sleef_cinz_tand1_u10purec(angle_rad); }
inline double atan2_of(double y_ratio, double x_ratio) { return Sleef_cinz_atan2d1_u10purec(y_ratio, x_ratio); }
inline double acosh_of(double x_ratio) { return Sleef_cinz_acoshd1_u10purec(x_ratio); }

}  // namespace model
