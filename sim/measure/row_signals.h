// On-off signals of one row over a pass as intervals, and the extremes of its real signals: what
// requirements over time are judged by. Kept only where a scenario states such a requirement.
//
//   on       closed intervals in order; one that is on at the end is closed there
//   extreme  least and largest value while a gate was on, with the instant of each
//
// Errors   none
// Checked  tests/sim/measure/temporal_test.cc
#pragma once

#include <array>
#include <limits>
#include <vector>

#include "sim/scenario/signal_catalog.h"

namespace sim::measure {

struct OnInterval {
  double from_s = 0.0;
  double to_s = 0.0;
};

/// Of one real signal while one gate is on; where no step was seen, least lies above largest.
struct Extremes {
  double least_si = std::numeric_limits<double>::infinity();     // tidy: unit the signal's
  double largest_si = -std::numeric_limits<double>::infinity();  // tidy: unit the signal's
  double least_at_s = 0.0, largest_at_s = 0.0;
  bool seen() const { return least_si <= largest_si; }
};

inline constexpr std::size_t kOnOffCount = static_cast<std::size_t>(scenario::OnOff::kCount);
inline constexpr std::size_t kRealCount = static_cast<std::size_t>(scenario::RealSignal::kCount);
/// Gates that are known at every step, and behind them "at all times".
inline constexpr std::size_t kGateCount = 5;
inline constexpr std::array<scenario::OnOff, kGateCount - 1> kGates = {
    scenario::OnOff::kCommanded, scenario::OnOff::kOpen, scenario::OnOff::kFlowing,
    scenario::OnOff::kLifted};
inline constexpr std::size_t kUngated = kGateCount - 1;

struct RowSignals {
  bool kept = false;
  double until_s = 0.0;
  std::array<std::vector<OnInterval>, kOnOffCount> on;
  std::array<std::array<Extremes, kGateCount>, kRealCount> extremes;

  const std::vector<OnInterval>& of(scenario::OnOff signal) const {
    return on[static_cast<std::size_t>(signal)];
  }
};

/// One step of the plant, [from, to).
struct SignalStep {
  double from_s = 0.0, to_s = 0.0;
  std::array<bool, kGateCount - 1> gates{};   // in the order of kGates
  std::array<double, kRealCount> reals_si{};  // tidy: unit the signal's
};

void note_step(RowSignals& signals, const SignalStep& step);
void note_on(RowSignals& signals, scenario::OnOff signal, double from_s, double to_s);

}  // namespace sim::measure
