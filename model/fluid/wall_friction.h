// Friction of laminar flow at the wall of a round line, with its memory of earlier accelerations.
//
//   f = 8 mu V/r^2 + (4 mu/r^2) * integral of W(tau(t - s)) dV/ds ds,  tau = nu t/r^2   [Pa/m]
//   W(tau) = sum over n >= 1 of exp(-j_{2,n}^2 tau),  j_{2,n} the zeros of J2
//   short times: W(tau) = sum over k >= 0 of c_k tau^((k-1)/2) / (2 Gamma((k+1)/2)),
//   c_0 = 1,  2 c_k = (k - 6) c_{k-1} - sum over 0 < i < k of c_i c_{k-i}
//   (from the expansion of I3(z)/(2 z I2(z)) at large z by its Riccati equation)
//   W ~ sum of m exp(-n tau): the integral then needs one number per term, not the whole past
//
// In       tau > 0, dimensionless time           Out      W, dimensionless
// Errors   EXPECTS tau > 0 (integral: >= 0), 1 to 16 terms, tau_min below the end of the fit
// Valid    laminar flow, Re below about 2300; above that the real friction is larger
// Source   W. Zielke, J. Basic Eng. 90, 109-115, 1968; 26 terms: K. Urbanowicz, Z. Zarzycki,
//          J. Theor. Appl. Mech. 50, 487-508, 2012 (from memory; compared with the exact kernel)
// Checked  tests/model/fluid/wall_friction_test.cc, tests/published/
#pragma once

#include <span>
#include <vector>

namespace model {

/// One exponential m exp(-n tau) of the kernel.
struct KernelTerm {
  double weight_ratio = 0.0;  // m > 0
  double rate_ratio = 0.0;    // n > 0
};

/// The slowest decay of the exact kernel, j_{2,1}^2: a fit needs no slower one, even for times
/// later than its own.
inline constexpr double kSlowestKernelRate_ratio = 26.374616427163247;
/// Latest dimensionless time that a fit looks at: W is 3.7e-4 there, and 1.7e-4 of its integral
/// lies beyond.
inline constexpr double kKernelFitEnd_ratio = 0.3;

double exact_kernel_ratio(double tau_ratio);
/// Integral of the exact W from 0 to tau; 1/12 at infinity.
double exact_kernel_integral_ratio(double tau_ratio);
double kernel_sum_ratio(std::span<const KernelTerm> terms, double tau_ratio);
/// Largest relative error of the sum against the exact W over [from, to], on a grid of 40 points
/// per decade.
double kernel_sum_error_ratio(std::span<const KernelTerm> terms, double from_tau_ratio,
                              double to_tau_ratio);

/// `count` terms with all m > 0: rates in geometric progression whose first and last are searched
/// for, weights by nonnegative least squares of the relative error over [tau_min, 0.3], evenly in
/// log tau.
std::vector<KernelTerm> fit_kernel(int count, double tau_min_ratio);
/// The published set of 26 terms, at most 2e-4 off from tau = 1e-9 to 0.5.
std::span<const KernelTerm> published_kernel();

}  // namespace model
