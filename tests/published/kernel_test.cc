// The memory of laminar wall friction: the exact kernel and the exponential sums that the
// literature gives for it.
//
// Source   W. Zielke, J. Basic Eng. 90, 1968: W(tau) = sum exp(-j_{2,n}^2 tau); values computed
//          outside this program to 25 digits from that sum. Tables: T. Kagawa et al. 1983 and A.
//          K. Trikha 1975 (both from memory); J. Vitkovsky et al. 2004; G. A. Schohl 1993 (from
//          memory); K. Urbanowicz, Z. Zarzycki, J. Theor. Appl. Mech. 50, 2012 (from memory).
//          Errors by decade computed outside this program; asserted with a tenth of head room.
#include <gtest/gtest.h>

#include <array>
#include <cmath>
#include <span>
#include <vector>

#include "model/fluid/line.h"
#include "model/fluid/wall_friction.h"

namespace model {
namespace {

struct Value {
  double tau;
  double kernel;
};

TEST(Kernel, TheExactValues) {
  // Printed to 7 or 8 digits, so half a unit of the last one is what can be asserted.
  for (const Value& row : {Value{1e-5, 87.95956},
                           {1e-4, 26.970152},
                           {1e-3, 7.7050226},
                           {1e-2, 1.6864570},
                           {.05, .29760284},
                           {.1, .072381583},
                           {.2, .0051190509}})
    EXPECT_NEAR(exact_kernel_ratio(row.tau) / row.kernel, 1.0, 7e-8) << row.tau;
}

TEST(Kernel, TheShortTimeLaw) {
  // W ~ 1 / (2 sqrt(pi tau)) - 5/4: the leading coefficient is 0.28209479.
  for (const double tau : {1e-8, 1e-7, 1e-6}) {
    const double lead = exact_kernel_ratio(tau) * std::sqrt(tau);
    EXPECT_NEAR(lead + 1.25 * std::sqrt(tau), 0.28209479, 1.1 * tau + 1e-8) << tau;
  }
}

TEST(Kernel, TheFirstZerosOfTheBesselFunction) {
  // At late times only exp(-j^2 tau) of the first zeros is left: j_{2,1}^2 = 26.3746164272,
  // j_{2,2}^2 = 70.8499989191.
  EXPECT_NEAR(kSlowestKernelRate_ratio, 26.3746164272, 1e-9);
  const double first = std::log(exact_kernel_ratio(0.9) / exact_kernel_ratio(1.0)) / 0.1;
  EXPECT_NEAR(first, 26.3746164272, 1e-9);
  const double rest = exact_kernel_ratio(0.3) - std::exp(-26.3746164272 * 0.3);
  EXPECT_NEAR(-std::log(rest) / 0.3, 70.8499989191, 1e-4)
      << "the second zero, seen through the first";
}

TEST(Kernel, ItsIntegralIsOneTwelfth) {
  // Rayleigh's sum of 1 / j_{2,n}^2; it gives laminar flow its inertance factor 1 + 4/12 = 4/3.
  EXPECT_NEAR(exact_kernel_integral_ratio(3.0), 1.0 / 12.0, 1e-12);
  EXPECT_EQ(exact_kernel_integral_ratio(0.0), 0.0);
}

// Zielke's own two branches as printed; against the exact kernel at most 8.8e-5 below 0.02
// and 1.5e-4 above.
TEST(Kernel, ZielkesPrintedBranches) {
  constexpr std::array<double, 6> m{0.282095, -1.25, 1.057855, 0.9375, 0.396696, -0.351563};
  constexpr std::array<double, 5> n{26.3744, 70.8493, 135.0198, 218.9216, 322.5544};
  for (double tau = 1e-5; tau < 0.5; tau *= 1.07) {
    double printed = 0.0;
    if (tau < 0.02) {
      for (std::size_t i = 0; i < m.size(); ++i)
        printed += m[i] * std::pow(tau, (static_cast<double>(i) - 1.0) / 2.0);
    } else {
      for (const double rate : n) printed += std::exp(-rate * tau);
    }
    EXPECT_NEAR(printed / exact_kernel_ratio(tau), 1.0, tau < 0.02 ? 1.0e-4 : 1.7e-4) << tau;
  }
}

struct Published {
  const char* name;
  std::vector<KernelTerm> terms;
  std::array<double, 6> error;  // decades 1e-6.. , 1e-5.., 1e-4.., 1e-3.., 1e-2.., 0.1 to 0.5
  double integral;
};

std::vector<Published> published_sets() {
  std::vector<Published> sets;
  sets.push_back({"Trikha",
                  {{40, 8000}, {8.1, 200}, {1, 26.4}},
                  {.825, .474, .216, .384, .213, .014},
                  .083379});
  sets.push_back({"Schohl",
                  {{1.051, 26.65}, {2.358, 100}, {9.021, 669.6}, {29.47, 6497}, {79.55, 57990}},
                  {.582, .037, .045, .054, .029, .082},
                  .082397});
  sets.push_back({"Kagawa",
                  {{1.0, 26.3744},
                   {1.16725, 72.8033},
                   {2.20064, 187.424},
                   {3.92861, 536.626},
                   {6.78788, 1570.60},
                   {11.6761, 4618.13},
                   {20.0612, 13601.1},
                   {34.4541, 40082.5},
                   {59.1642, 118153},
                   {101.590, 348316}},
                  {.272, .0007, .0007, .0009, .0030, .0005},
                  .082988});
  sets.push_back({"Vitkovsky",
                  {{1.02700, 26.5976},
                   {1.31342, 78.6005},
                   {2.14832, 202.234},
                   {3.70620, 540.226},
                   {6.37762, 1501.07},
                   {10.9363, 4267.16},
                   {18.7309, 12286.9},
                   {32.0736, 35639.2},
                   {55.1523, 103956.0},
                   {99.4544, 309336.0}},
                  {.294, .0003, .0003, .0003, .0003, .080},
                  .082894});
  const auto many = published_kernel();
  sets.push_back(
      {"Urbanowicz", {many.begin(), many.end()}, {2e-5, 2e-5, 3.4e-5, 2e-4, 2e-4, 1e-4}, .083328});
  return sets;
}

TEST(Kernel, ThePublishedSumsMissByWhatTheyAreKnownToMiss) {
  for (const Published& set : published_sets()) {
    double integral = 0.0;
    for (const KernelTerm& term : set.terms) integral += term.weight_ratio / term.rate_ratio;
    EXPECT_NEAR(integral, set.integral, 5.1e-7) << set.name;
    double from = 1e-6;
    for (std::size_t decade = 0; decade < set.error.size(); ++decade, from *= 10.0) {
      const double to = decade == 5 ? 0.5 : from * 10.0;
      const double error = kernel_sum_error_ratio(set.terms, from, to);
      const double rounding = set.error[decade] < 1e-3
                                  ? 0.5 * std::pow(10.0, std::floor(std::log10(set.error[decade])))
                                  : 5e-4;
      EXPECT_LE(error, 1.1 * set.error[decade] + rounding) << set.name << " from " << from;
      // The error measure itself must show the error that the table states.
      if (set.error[decade] > 0.1) {
        EXPECT_GE(error, 0.9 * set.error[decade]) << set.name << " from " << from;
      }
    }
  }
}

TEST(Kernel, TheTwentySixTermsHaveTheRightMoments) {
  double first = 0.0;
  double second = 0.0;
  for (const KernelTerm& term : published_kernel()) {
    first += term.weight_ratio / term.rate_ratio;
    second += term.weight_ratio / (term.rate_ratio * term.rate_ratio);
  }
  EXPECT_NEAR(first, 1.0 / 12.0, 1e-5);
  EXPECT_NEAR(second * 576.0, 1.0, 2e-3);
}

// y(t + dt) = y e^{-n dtau} + m (1 - e^{-n dtau}) / (n dtau) dV is the convolution with a piecewise
// linear V. What a station remembers for its next step must be that convolution, written out over
// the whole past.
TEST(Kernel, TheRecursionIsTheConvolution) {
  const Line tube{.length_m = 0.6, .bore_m = 4e-3, .wave_speed_mps = 400.0};
  const Liquid liquid{.density_kgpm3 = 1000.0, .viscosity_pas = 50e-3};
  const double step_s = tube.length_m / (tube.wave_speed_mps * 2.0);
  const auto terms = published_sets()[3].terms;
  const auto plan =
      make_line_plan(tube, liquid, {.cells = 2, .stations = 1, .step_s = step_s, .kernel = terms});
  auto state = still_line(plan, 0.0);
  const double dtau = liquid.viscosity_pas / liquid.density_kgpm3 * step_s / (2e-3 * 2e-3);
  std::vector<double> flows_m3ps{0.0};
  for (int step = 0; step < 60; ++step) {
    const auto waves = arrivals(plan, state);
    depart(plan, state,
           {.at_inlet_pa = step % 7 < 3 ? 2e5 : 1e4 * step,
            .at_outlet_pa = -0.3 * waves.at_outlet_pa});
    flows_m3ps.push_back(state.flow_m3ps[0]);
  }
  // One cell's 4 mu l / (A r^2), and this station's friction length of two cells.
  const double scale_paspm3 = 0.5 * laminar_resistance_paspm3(tube, liquid) / 2.0;
  double wanted_pa = 0.0;
  const std::size_t last = flows_m3ps.size() - 1;
  for (const KernelTerm& term : terms) {
    for (std::size_t step = 1; step <= last; ++step) {
      const double age_end = static_cast<double>(last + 1 - step) * dtau;
      const double share =
          (std::exp(-term.rate_ratio * age_end) - std::exp(-term.rate_ratio * (age_end + dtau))) /
          (term.rate_ratio * dtau);
      wanted_pa +=
          scale_paspm3 * term.weight_ratio * share * (flows_m3ps[step] - flows_m3ps[step - 1]);
    }
  }
  double kept_pa = 0.0;
  for (const double memory_pa : state.memory_pa) kept_pa += memory_pa;
  EXPECT_GT(std::abs(wanted_pa), 1.0);
  EXPECT_NEAR(kept_pa / wanted_pa, 1.0, 1e-12);
}

}  // namespace
}  // namespace model
