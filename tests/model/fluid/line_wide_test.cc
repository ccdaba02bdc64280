// Every width of register gives the same bits: a line that boils and closes is run with each of the
// widths that this processor has, and its whole state is compared.
#include "model/fluid/line_wide.h"

#include <gtest/gtest.h>

#include <cmath>
#include <cstring>
#include <vector>

#include "model/fluid/line.h"
#include "model/fluid/line_cavities.h"

namespace model {
namespace {

const Liquid kThick = {.density_kgpm3 = 1200.0, .viscosity_pas = 10e-3};
constexpr double kStep_s = 1e-5;

LinePlan<double> plan_with(int cells, int stations, int terms) {
  const Line tube = {.length_m = 2e-5 * 200.0 * cells, .bore_m = 4e-3, .wave_speed_mps = 400.0};
  const auto kernel = fit_kernel(terms, 8.3e-6 * kStep_s / 4e-6);
  return make_line_plan(tube, kThick,
                        {.cells = cells,
                         .stations = stations,
                         .step_s = kStep_s,
                         .kernel = kernel,
                         .cavities = true,
                         .vapour_pressure_pa = -99000.0,
                         .turbulence = true,
                         .inlet_height_m = 0.3});
}

struct Ran {
  std::vector<double> ends_pa;  // both arriving waves of each step
  LineState<double> state;
  bool boiled = false;
};

/// The outlet opens and shuts against a constant pressure at the inlet, so that columns part.
Ran run_with(LinePlan<double> plan, const LineKernels& kernels) {
  plan.kernels = &kernels;
  Ran run{.ends_pa = {}, .state = steady_line(plan, 1e5, 0.0)};
  for (int step = 0; step < 3000; ++step) {
    const LineWaves<double> in = arrivals(plan, run.state);
    run.ends_pa.push_back(in.at_inlet_pa);
    run.ends_pa.push_back(in.at_outlet_pa);
    const bool open = step % 900 < 400;
    const double outlet_m3ps = open ? 4e-5 * std::sin(0.01 * step) * std::sin(0.01 * step) : 0.0;
    depart(plan, run.state,
           {.at_inlet_pa = 2e5 - in.at_inlet_pa,
            .at_outlet_pa = in.at_outlet_pa - 2.0 * plan.impedance_paspm3 * outlet_m3ps});
    run.boiled = run.boiled || run.state.holding;
  }
  return run;
}

bool same_bits(const std::vector<double>& a, const std::vector<double>& b) {
  return a.size() == b.size() && std::memcmp(a.data(), b.data(), a.size() * sizeof(double)) == 0;
}

TEST(LineWide, EveryWidthGivesTheSameBits) {
  ASSERT_GE(line_kernels().size(), 1u);
  EXPECT_EQ(line_kernels().front().width, 2);
  if (line_kernels().size() < 2) GTEST_SKIP() << "this processor has one width";
  bool boiled = false;
  for (const int stations : {0, 1, 2, 3, 5, 7, 8, 12, 15, 31}) {
    for (const int terms : {3, 5, 6}) {
      const LinePlan<double> plan = plan_with(160, stations, terms);
      const Ran two = run_with(plan, line_kernels().front());
      boiled = boiled || two.boiled;
      for (const LineKernels& wide : line_kernels().subspan(1)) {
        const Ran other = run_with(plan, wide);
        EXPECT_TRUE(same_bits(two.ends_pa, other.ends_pa)) << wide.name << " " << stations;
        EXPECT_TRUE(same_bits(two.state.downstream_pa, other.state.downstream_pa)) << wide.name;
        EXPECT_TRUE(same_bits(two.state.memory_pa, other.state.memory_pa)) << wide.name;
        EXPECT_TRUE(same_bits(two.state.between_m3, other.state.between_m3)) << wide.name;
        EXPECT_EQ(two.state.holds, other.state.holds) << wide.name;
      }
    }
  }
  EXPECT_TRUE(boiled) << "nothing was scanned";
}

// A lane whose segment is not to be scanned keeps its waves, whatever its neighbours do.
TEST(LineWide, AScanLeavesOtherSegmentsAlone) {
  const LinePlan<double> plan = plan_with(160, 12, 6);
  for (const LineKernels& wide : line_kernels()) {
    LineState<double> state = steady_line(plan, -1.2e5, 0.0);  // all of it below vapour
    const LineState<double> before = state;
    std::vector<std::int64_t> low(13, 0);
    low[4] = -1;
    wide.scan_nodes(view_nodes(plan, state), 1, 12, low.data());
    EXPECT_EQ(low[4], -1) << wide.name;
    for (std::size_t at = 0; at < state.downstream_pa.size(); ++at) {
      if (at % plan.stride == 4) continue;
      ASSERT_EQ(state.downstream_pa[at], before.downstream_pa[at]) << wide.name << " " << at;
    }
    EXPECT_NE(state.downstream_pa, before.downstream_pa) << wide.name;
  }
}

}  // namespace
}  // namespace model
