// How much more pressure a fast flow loses than a laminar one, and how much sooner its wall
// friction forgets: one smooth law over laminar, transitional and turbulent flow.
//
//   f = 8 [(8/Re)^12 + (A + B)^-1.5]^(1/12),  dp/dx = f rho V^2/(2 D),  Re = |V| D/nu
//   A = (2.457 ln(1/((7/Re)^0.9)))^16  (smooth bore),  B = (37530/Re)^16
//   At and below Re = 1000 f is 64/Re: the formula differs from that by 2e-14 there.
//   C* = 12.86/Re^kappa, kappa = log10(15.29/Re^0.0567): in turbulence the memory of the wall is
//        multiplied by exp(-tau/C*)
//   w  = 1 - (64/Re)/f blends both memories: rate = w/C*. The blending is our own, so that
//        nothing jumps at the transition; the published C* holds from Re = 2300 on
//   Both curves are tabled over Re in steps of 5 up to 21480 and read by cubics through four
//   points; above that the formulas themselves are evaluated. The program uses the cubic both in
//   the step and in steady flow; it lies within 1e-8 of the formula.
//
// In       Re >= 0       Out   dimensionless       State   two tables, made once       Errors  none
// Valid    smooth round bore, long against its entrance length; between Re 2000 and 4000 a real
//          flow is intermittent and depends on its past: the law gives a mean
// Source   S. W. Churchill, Chem. Eng. 84 (24), 91-92, 1977; A. E. Vardy, J. M. B. Brown, J. Sound
//          Vib. 259, 1011-1036, 2003 (C* read in a restatement)
// Checked  tests/published/turbulence_test.cc
#pragma once

namespace model {

/// Up to this Reynolds number the flow is taken as laminar.
inline constexpr double kLaminarReynolds_ratio = 1000.0;

/// Darcy's f by the formula.
double churchill_ratio(double reynolds_ratio);
/// C* of Vardy and Brown.
double memory_time_ratio(double reynolds_ratio);
template <class Real>
struct TurbulenceOf {
  Real extra_ratio{};  // (f - 64/Re) Re^2
  Real loss_ratio{};   // w/C*: how fast the memory is lost beyond its laminar decay, in tau
};
using Turbulence = TurbulenceOf<double>;
/// Both numbers are 0 up to Re = 1000.
Turbulence turbulence_at(double reynolds_ratio);

}  // namespace model
