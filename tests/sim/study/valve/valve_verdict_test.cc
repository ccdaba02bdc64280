// Verdicts on a valve: figures and limits written by hand, and what must follow from them.
#include "sim/study/valve/valve_verdict.h"

#include <gtest/gtest.h>

#include <cmath>
#include <fstream>

#include "sim/scenario/loader.h"
#include "sim/study/valve/valve_sheet.h"
#include "tests/support/scratch_folder.h"

namespace sim::valve {
namespace {

ValveLimits limits_of(const std::string& lines) {
  const ScratchFolder folder;
  return read_valve_limits(folder.write("limits.toml", "[limits]\n" + lines));
}

const std::string kTimes = "opening_at_most = \"2.5 ms\"\nclosing_at_most = \"3 ms\"\n";

std::vector<ValveFigure> times(double opening_s, double closing_s, double half_s = 0.0) {
  return {
      {.kind = ValveFigureKind::kOpening, .value_si = opening_s, .half_si = half_s, .why_not = {}},
      {.kind = ValveFigureKind::kClosing,
       .value_si = closing_s,
       .half_si = half_s,
       .why_not = "no landing on the seat is seen"}};
}

std::string sentence(const ValveVerdict& verdict, const ValveLimits& limits) {
  ValveCheck check;
  check.limits = limits;
  check.verdict = verdict;
  return valve_sentence(check, output::Units::kMetric);
}

TEST(ValveVerdict, SaysWhatIsWrongAndWhatToDo) {
  const ValveLimits limits = limits_of(kTimes);
  const ValveVerdict verdict = judge_valve(times(2.0e-3, 4.1e-3), limits);
  EXPECT_EQ(verdict.standing, ValveStanding::kNotInOrder);
  EXPECT_EQ(
      sentence(verdict, limits),
      "Not in order: slow to close, closing 4.10 ms, limit 3.00 ms; replace plunger and seat, "
      "then repeat");
}

// The quality of the fit is stated before any part is condemned.
TEST(ValveVerdict, AMisfitIsNamedBeforeTheRecommendation) {
  const ValveLimits limits = limits_of(kTimes);
  ValveCheck check;
  check.limits = limits;
  check.verdict = judge_valve(times(2.0e-3, 4.1e-3), limits);
  check.fit.emplace().misfit = true;
  check.fit->misfit_ratio = 6.5;
  const std::string said = valve_sentence(check, output::Units::kMetric);
  const std::size_t misfit = said.find("MISFIT: the model leaves 6.5 times"),
                    advice = said.find("replace plunger");
  ASSERT_NE(misfit, std::string::npos) << said;
  ASSERT_NE(advice, std::string::npos) << said;
  EXPECT_LT(misfit, advice) << said;
}

TEST(ValveVerdict, IsInOrderWhereAllHold) {
  const ValveLimits limits = limits_of(kTimes);
  const ValveVerdict verdict = judge_valve(times(2.0e-3, 2.9e-3), limits);
  EXPECT_EQ(verdict.standing, ValveStanding::kInOrder);
  EXPECT_EQ(sentence(verdict, limits),
            "In order: opening 2.00 ms, limit 2.50 ms; closing 2.90 ms, limit 3.00 ms");
}

// A limit inside the interval proves neither verdict; one outside it does.
TEST(ValveVerdict, DoubtIsNoVerdict) {
  const ValveLimits limits = limits_of(kTimes);
  EXPECT_EQ(judge_valve(times(2.4e-3, 2e-3, 0.2e-3), limits).standing, ValveStanding::kNoVerdict);
  EXPECT_EQ(judge_valve(times(2.6e-3, 2e-3, 0.2e-3), limits).standing, ValveStanding::kNoVerdict);
  EXPECT_EQ(judge_valve(times(2.8e-3, 2e-3, 0.2e-3), limits).standing, ValveStanding::kNotInOrder);
  EXPECT_EQ(judge_valve(times(2.2e-3, 2e-3, 0.2e-3), limits).standing, ValveStanding::kInOrder);
}

TEST(ValveVerdict, LackOfDataIsNeverAFailureNorAPass) {
  const ValveLimits limits = limits_of(kTimes);
  const ValveVerdict verdict = judge_valve(times(2.0e-3, std::nan("")), limits);
  EXPECT_EQ(verdict.standing, ValveStanding::kNoVerdict);
  EXPECT_EQ(sentence(verdict, limits), "No verdict: closing: no landing on the seat is seen");
  EXPECT_EQ(judge_valve({}, limits).standing, ValveStanding::kNoVerdict);
  EXPECT_EQ(judge_valve(times(2e-3, 2e-3), ValveLimits{}).standing, ValveStanding::kNoVerdict);
}

TEST(ValveVerdict, AViolationStandsEvenWhereOthersAreNotSeen) {
  const ValveLimits limits = limits_of(kTimes);
  EXPECT_EQ(judge_valve(times(3.0e-3, std::nan("")), limits).standing, ValveStanding::kNotInOrder);
}

TraceFindings findings_with(const std::vector<double>& closings_s, double hold_a = 3.0) {
  TraceFindings findings;
  findings.noise_a = 5e-3;
  for (const double closing_s : closings_s) {
    TracePulse pulse;
    pulse.at_stop_after_s = {.value = 2e-3, .sd = 10e-6};
    pulse.seated_after_s = {.value = closing_s, .sd = 10e-6};
    pulse.supply_v = 12.0;
    pulse.hold_a = hold_a;
    findings.pulses.push_back(pulse);
  }
  findings.closing_seen = true;
  return findings;
}

const ValveFigure& figure(const std::vector<ValveFigure>& figures, ValveFigureKind kind) {
  for (const ValveFigure& one : figures)
    if (one.kind == kind) return one;
  static const ValveFigure none;
  return none;
}

// Mean of 2, 3 and 4 ms is 3; sd 1 ms, over root 3 and times 1.96: 1.1316 ms.
TEST(ValveVerdict, ATracesTimeIsItsMeanWithTheScatterBetweenPulses) {
  const std::vector<ValveFigure> figures =
      figures_of(findings_with({2e-3, 3e-3, 4e-3}), rig::RigSetup{});
  const ValveFigure& closing = figure(figures, ValveFigureKind::kClosing);
  EXPECT_NEAR(closing.value_si, 3e-3, 1e-15);
  EXPECT_NEAR(closing.half_si, 1.96 * 1e-3 / std::sqrt(3.0), 1e-7);
}

// Pulses that agree still know no more than each of them does: 1.96 * 10 us / root 4.
TEST(ValveVerdict, OrWithWhatEachPulseDoesNotKnow) {
  const std::vector<ValveFigure> figures =
      figures_of(findings_with({3e-3, 3e-3, 3e-3, 3e-3}), rig::RigSetup{});
  EXPECT_NEAR(figure(figures, ValveFigureKind::kClosing).half_si, 1.96 * 10e-6 / 2.0, 1e-9);
}

TEST(ValveVerdict, ACoilWithoutCurrentIsOpen) {
  TraceFindings findings = findings_with({std::nan("")}, 0.001);
  findings.pulses[0].faults = kPulseMissing;
  const ValveLimits limits = limits_of("resistance_at_most = \"5.5 ohm\"\n");
  const ValveVerdict verdict = judge_valve(figures_of(findings, rig::RigSetup{}), limits);
  EXPECT_EQ(verdict.standing, ValveStanding::kNotInOrder);
  EXPECT_NE(sentence(verdict, limits).find("coil open"), std::string::npos);
}

TEST(ValveVerdict, AShortedCoilDrawsTooMuch) {
  const ValveLimits limits = limits_of("resistance_at_least = \"3.5 ohm\"\n");
  const ValveVerdict verdict =
      judge_valve(figures_of(findings_with({2e-3}, 8.0), rig::RigSetup{}), limits);
  EXPECT_EQ(verdict.standing, ValveStanding::kNotInOrder) << "12 V / 8 A is 1.5 ohm";
}

// A leak is never negative; where flow or mass falls while shut, the instrument is the cause.
TEST(ValveVerdict, ALeakBelowZeroIsNone) {
  TraceFindings findings = findings_with({3e-3});
  findings.leak_m3ps = {.value = -0.2e-6 / 60.0, .sd = 0.2e-6 / 60.0};
  EXPECT_EQ(figure(figures_of(findings, rig::RigSetup{}), ValveFigureKind::kLeak).value_si, 0.0);
  findings.leak_m3ps.sd = 1e-12;
  const ValveFigure leak = figure(figures_of(findings, rig::RigSetup{}), ValveFigureKind::kLeak);
  EXPECT_TRUE(std::isnan(leak.value_si));
  EXPECT_NE(leak.why_not.find("not known"), std::string::npos);
}

TEST(ValveVerdict, MissingPulsesAreOddOnes) {
  TraceFindings findings = findings_with({3e-3, 3e-3, 3e-3, 3e-3});
  findings.pulses[1].faults = kPulseMissing;
  const std::vector<ValveFigure> figures = figures_of(findings, rig::RigSetup{});
  EXPECT_DOUBLE_EQ(figure(figures, ValveFigureKind::kOddPulses).value_si, 0.25);
}

}  // namespace
}  // namespace sim::valve
