// Water from formulations outside this project, for tests: viscosity, saturation pressure, density
// and speed of sound.
//
//   IAPWS R12-08 (2008), viscosity mu = mu0(T) mu1(T, rho), without the critical enhancement
//   IAPWS-IF97 (2012 release), region 4: p_s(T); region 1: v(p, T) and w(p, T)
//   W. Marczak, J. Acoust. Soc. Am. 102, 2776 (1997): c(T) of water at the atmosphere, 0 to 95 C
//
// Source   coefficients from memory, confirmed by the releases' check values
//          (tests/published/liquid_test.cc); Marczak's by the rows that came from IAPWS-95
#pragma once

#include <array>
#include <cmath>

namespace iapws {

struct Term {
  int i;
  int j;
  double n_ratio;
};

inline double viscosity_pas(double density_kgpm3, double temperature_k) {
  constexpr std::array kZero{1.67752, 2.20462, 0.6366564, -0.241605};
  constexpr std::array<Term, 21> kOne{
      {{0, 0, 5.20094e-1},  {1, 0, 8.50895e-2},  {2, 0, -1.08374},    {3, 0, -2.89555e-1},
       {0, 1, 2.22531e-1},  {1, 1, 9.99115e-1},  {2, 1, 1.88797},     {3, 1, 1.26613},
       {5, 1, 1.20573e-1},  {0, 2, -2.81378e-1}, {1, 2, -9.06851e-1}, {2, 2, -7.72479e-1},
       {3, 2, -4.89837e-1}, {4, 2, -2.57040e-1}, {0, 3, 1.61913e-1},  {1, 3, 2.57399e-1},
       {0, 4, -3.25372e-2}, {3, 4, 6.98452e-2},  {4, 5, 8.72102e-3},  {3, 6, -4.35673e-3},
       {5, 6, -5.93264e-4}}};
  const double t = temperature_k / 647.096;
  const double r = density_kgpm3 / 322.0;
  double below = 0.0;
  for (std::size_t i = 0; i < kZero.size(); ++i)
    below += kZero[i] / std::pow(t, static_cast<double>(i));
  double sum = 0.0;
  for (const Term& term : kOne)
    sum += term.n_ratio * std::pow(1.0 / t - 1.0, term.i) * std::pow(r - 1.0, term.j);
  return 1e-6 * 100.0 * std::sqrt(t) / below * std::exp(r * sum);
}

inline double saturation_pressure_abs_pa(double temperature_k) {
  constexpr std::array n{.11670521452767e4,  -.72421316703206e6, -.17073846940092e2,
                         .12020824702470e5,  -.32325550322333e7, .14915108613530e2,
                         -.48232657361591e4, .40511340542057e6,  -.23855557567849,
                         .65017534844798e3};
  const double theta = temperature_k + n[8] / (temperature_k - n[9]);
  const double a = theta * theta + n[0] * theta + n[1];
  const double b = n[2] * theta * theta + n[3] * theta + n[4];
  const double c = n[5] * theta * theta + n[6] * theta + n[7];
  return 1e6 * std::pow(2.0 * c / (-b + std::sqrt(b * b - 4.0 * a * c)), 4.0);
}

struct Compressed {
  double density_kgpm3 = 0.0;
  double sound_mps = 0.0;
};

// The 34 terms n (7.1 - pi)^I (tau - 1.222)^J of region 1.
inline constexpr std::array<Term, 34> kRegionOne{{
    {0, -2, .14632971213167},        {0, -1, -.84548187169114},
    {0, 0, -.37563603672040e1},      {0, 1, .33855169168385e1},
    {0, 2, -.95791963387872},        {0, 3, .15772038513228},
    {0, 4, -.16616417199501e-1},     {0, 5, .81214629983568e-3},
    {1, -9, .28319080123804e-3},     {1, -7, -.60706301565874e-3},
    {1, -1, -.18990068218419e-1},    {1, 0, -.32529748770505e-1},
    {1, 1, -.21841717175414e-1},     {1, 3, -.52838357969930e-4},
    {2, -3, -.47184321073267e-3},    {2, 0, -.30001780793026e-3},
    {2, 1, .47661393906987e-4},      {2, 3, -.44141845330846e-5},
    {2, 17, -.72694996297594e-15},   {3, -4, -.31679644845054e-4},
    {3, 0, -.28270797985312e-5},     {3, 6, -.85205128120103e-9},
    {4, -5, -.22425281908000e-5},    {4, -2, -.65171222895601e-6},
    {4, 10, -.14341729937924e-12},   {5, -8, -.40516996860117e-6},
    {8, -11, -.12734301741641e-8},   {8, -6, -.17424871230634e-9},
    {21, -29, -.68762131295531e-18}, {23, -31, .14478307828521e-19},
    {29, -38, .26335781662795e-22},  {30, -39, -.11947622640071e-22},
    {31, -40, .18228094581404e-23},  {32, -41, -.93537087292458e-25},
}};

inline Compressed compressed(double pressure_abs_pa, double temperature_k) {
  const double pi = pressure_abs_pa / 16.53e6;
  const double tau = 1386.0 / temperature_k;
  const double a = 7.1 - pi;
  const double b = tau - 1.222;
  double g_p = 0.0;
  double g_pp = 0.0;
  double g_tt = 0.0;
  double g_pt = 0.0;
  for (const Term& term : kRegionOne) {
    const double i = term.i;
    const double j = term.j;
    g_p -= term.n_ratio * i * std::pow(a, i - 1.0) * std::pow(b, j);
    g_pp += term.n_ratio * i * (i - 1.0) * std::pow(a, i - 2.0) * std::pow(b, j);
    g_tt += term.n_ratio * std::pow(a, i) * j * (j - 1.0) * std::pow(b, j - 2.0);
    g_pt -= term.n_ratio * i * std::pow(a, i - 1.0) * j * std::pow(b, j - 1.0);
  }
  const double rt = 461.526 * temperature_k;
  const double mixed = g_p - tau * g_pt;
  return {.density_kgpm3 = pressure_abs_pa / (rt * pi * g_p),
          .sound_mps = std::sqrt(rt * g_p * g_p / (mixed * mixed / (tau * tau * g_tt) - g_pp))};
}

inline double atmospheric_sound_mps(double temperature_k) {
  const double c = temperature_k - 273.15;
  return 1402.385 + c * (5.038813 + c * (-5.799136e-2 +
                                         c * (3.287156e-4 + c * (-1.398845e-6 + c * 2.787860e-9))));
}

}  // namespace iapws
