// Signals of a row that a requirement over time may name, as one plain list. `list signals` prints
// it.
//
//   on-off   true over closed intervals of bench time; an event is an interval of length zero
//   real     a value at every step of the plant
//
// Checked  tests/sim/measure/temporal_test.cc
#pragma once

#include <cstdint>
#include <span>
#include <string_view>

namespace sim::scenario {

enum class OnOff : std::uint8_t {
  kCommanded,
  kOpen,
  kFlowing,
  kLifted,
  kSpeedLost,
  kSpeedStale,
  kSafeClosed,
  kAlarm,
  kEdge,
  kHold,
  kRowOff,
  kOff,
  kNoSeeds,
  kNoFlow,
  kLowFlow,
  kHighFlow,
  kSlowValve,
  kEmptyLine,
  kWorn,
  kSecondRegulator,
  kCount
};
enum class RealSignal : std::uint8_t { kPressure, kVoltage, kCurrent, kLift, kFlow, kCount };

struct OnOffSignal {
  std::string_view name;
  OnOff signal;
  bool gates_reals;  // known at every step, so that a real signal can be observed while it is on
  std::string_view meaning;
};
struct RealSignalKind {
  std::string_view name;
  RealSignal signal;
  std::string_view unit;  // SI word, like the unit of a metric
  std::string_view meaning;
};

std::span<const OnOffSignal> on_off_signals();
std::span<const RealSignalKind> real_signals();
const OnOffSignal* find_on_off(std::string_view name);
const RealSignalKind* find_real_signal(std::string_view name);

}  // namespace sim::scenario
