// Doses, leak and smallest dose of a trace against sums that the project's model does not keep: an
// integration of its own (tests/support/simulated_valve.h). However long the valve rests after a
// pulse, what drips belongs to the leak and to no pulse, and the verdict is the same.
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <optional>

#include "sim/scenario/loader.h"
#include "sim/study/valve/valve_check.h"
#include "tests/support/linear_coil.h"
#include "tests/support/simulated_valve.h"

namespace sim::valve {
namespace {

constexpr double kMlPerMin_m3ps = 1e-6 / 60.0;
constexpr std::array kWidths_s = {2e-3, 6e-3, 12e-3, 2e-3, 6e-3, 12e-3};

rig::RigSetup bench() {
  rig::RigSetup setup = rig::load_rig_setup(
      std::string(SILLION_SOURCE_DIR) + "/scenarios/demo_valve.toml", support::with_linear_coil());
  setup.liquid.liquid.density_kgpm3 = support::SimulatedValve{}.density_kgpm3;
  return setup;
}

support::SimulatedTrace made(double leak_mlpmin, double rest_s, double before_s = 1.0) {
  support::SimulatedValve valve;
  valve.leak_m3ps = leak_mlpmin * kMlPerMin_m3ps;
  valve.rest_before_s = before_s;
  return support::simulated_trace(valve, kWidths_s, rest_s);
}

const ValveFigure& figure(const std::vector<ValveFigure>& figures, ValveFigureKind kind) {
  return *std::find_if(figures.begin(), figures.end(),
                       [&](const ValveFigure& one) { return one.kind == kind; });
}

/// A dose is exact to 0.5 %: the trace's samples stand 0.1 ms apart, and an orifice opens within 1
/// ms. The leak is exact to 1 % and 0.02 ml/min, the step of a number of 24 bits in the cup's mass.
/// The smallest dose is allowed 1 % more, because it is read off a line through three widths.
void expect_books(const ValveTrace& trace, const std::vector<double>& doses_m3, double leak_mlpmin,
                  const rig::RigSetup& setup, const std::string& where) {
  const TraceFindings found = analyse_trace(trace, reading_of(setup));
  ASSERT_EQ(found.pulses.size(), doses_m3.size()) << where;
  for (std::size_t k = 0; k < doses_m3.size(); ++k)
    EXPECT_NEAR(found.pulses[k].dose_m3.value / doses_m3[k], 1.0, 0.005)
        << where << ", pulse " << k;
  const double leak_m3ps = leak_mlpmin * kMlPerMin_m3ps;
  EXPECT_NEAR(found.leak_m3ps.value, leak_m3ps, 0.01 * leak_m3ps + 0.02 * kMlPerMin_m3ps) << where;
  const double smallest_m3 = doses_m3[0] + leak_m3ps * setup.drive.period_s;
  EXPECT_NEAR(
      figure(figures_of(found, setup), ValveFigureKind::kSmallestDose).value_si / smallest_m3, 1.0,
      0.015)
      << where;
}

std::vector<LimitStanding> standings(const ValveTrace& trace, const rig::RigSetup& setup,
                                     const ValveLimits& limits) {
  const ValveVerdict verdict =
      judge_valve(figures_of(analyse_trace(trace, reading_of(setup)), setup), limits);
  std::vector<LimitStanding> all;
  for (const JudgedLimit& judged : verdict.limits) all.push_back(judged.standing);
  return all;
}

TEST(DoseBooks, HoldForEveryLeakAndRestByFlowAndByMass) {
  const rig::RigSetup setup = bench();
  const ValveLimits limits = read_valve_limits(setup.bench.limits);
  for (const double leak_mlpmin : {0.0, 0.7, 3.0, 10.0}) {
    std::optional<std::vector<LimitStanding>> first;
    for (const double rest_s : {0.1, 1.0, 10.0, 20.0}) {
      support::SimulatedTrace by_both = made(leak_mlpmin, rest_s);
      for (const bool by_flow : {true, false}) {
        if (!by_flow) by_both.trace.flow_m3ps.clear();
        const std::string where = std::to_string(leak_mlpmin) + " ml/min, rest " +
                                  std::to_string(rest_s) + (by_flow ? " s by flow" : " s by mass");
        expect_books(by_both.trace, by_both.doses_m3, leak_mlpmin, setup, where);
        const std::vector<LimitStanding> now = standings(by_both.trace, setup, limits);
        if (!first) first = now;
        EXPECT_EQ(now, *first) << where << ": the verdict hangs on the rest";
      }
    }
  }
}

// The rest before the first command may be short too: then the rests between pulses show the leak.
TEST(DoseBooks, HoldWithoutALongRestAndWithoutACommandColumn) {
  const rig::RigSetup setup = bench();
  for (const double leak_mlpmin : {0.0, 3.0}) {
    support::SimulatedTrace trace = made(leak_mlpmin, 0.3, 0.02);
    trace.trace.command_ratio.clear();
    expect_books(trace.trace, trace.doses_m3, leak_mlpmin, setup, "voltage alone, by flow");
    trace.trace.flow_m3ps.clear();
    expect_books(trace.trace, trace.doses_m3, leak_mlpmin, setup, "voltage alone, by mass");
  }
}

// A real case: an allowed leak, and the bench left running for 10 s after the last pulse.
TEST(DoseBooks, AGoodValveThatDripsWithinItsLimitIsInOrder) {
  const rig::RigSetup setup = bench();
  const ValveLimits limits = read_valve_limits(setup.bench.limits);
  const support::SimulatedTrace long_one = made(0.7, 10.0);
  ValveTraceReader reader("bench.csv");
  reader.take(support::simulated_csv(made(0.7, 0.1).trace));
  reader.finish();
  for (const ValveTrace* trace : {&long_one.trace, &reader.trace()}) {
    const ValveVerdict verdict =
        judge_valve(figures_of(analyse_trace(*trace, reading_of(setup)), setup), limits);
    for (const JudgedLimit& judged : verdict.limits)
      EXPECT_NE(judged.standing, LimitStanding::kViolated)
          << judged.limit.kind->key << " " << judged.figure.value_si;
    EXPECT_EQ(verdict.standing, ValveStanding::kInOrder);
  }
}

// Halving the step moves no dose: the doses are the equations', not the step's. By hand, from long
// pulses: at the stop Q = 0.62 Ao sqrt(2 p/rho) sqrt(1/(1 + (Ao/A)^2)), Ao = 2.0106 mm2,
// A = 10.053 mm2, so Q = 0.62 * 2.0106e-6 * 14.142 * 0.98058 = 17.287 ml/s.
TEST(DoseBooks, TheBooksThemselvesHoldByHand) {
  const support::SimulatedTrace trace = support::simulated_trace({}, std::array{20e-3, 30e-3}, 0.1);
  EXPECT_NEAR((trace.doses_m3[1] - trace.doses_m3[0]) / 10e-3, 17.287e-6, 0.001e-6);
}

}  // namespace
}  // namespace sim::valve
