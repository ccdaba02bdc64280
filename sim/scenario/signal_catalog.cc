#include "sim/scenario/signal_catalog.h"

namespace sim::scenario {
namespace {

constexpr OnOffSignal kOnOff[] = {
    {"commanded", OnOff::kCommanded, true, "the bridge drives the coil"},
    {"open", OnOff::kOpen, true, "the plunger is off its seat (ideal row: liquid leaves)"},
    {"flowing", OnOff::kFlowing, true, "more than 5 % of the steady flow leaves the outlet"},
    {"lifted", OnOff::kLifted, true, "the planter is lifted (work.lift_times)"},
    {"speed lost", OnOff::kSpeedLost, false, "the bus gives no speed (a fault)"},
    {"speed stale", OnOff::kSpeedStale, false,
     "the row controller reports that its speed is too old"},
    {"safe closed", OnOff::kSafeClosed, false, "the row controller holds its valve closed"},
    {"alarm", OnOff::kAlarm, false,
     "instant at which the row controller reports overflow, stale speed, late firing, bands that "
     "cannot be told apart, a rate or a correction out of range, a bad frame or a negative delay"},
    {"edge", OnOff::kEdge, false, "instant of a rising edge of the seed sensor"},
    {"in hold", OnOff::kHold, false, "the machine is in hold and not in run (work.run_times)"},
    {"row off", OnOff::kRowOff, false, "section control has switched the row off (work.row_off)"},
    {"controller off", OnOff::kOff, false,
     "the row's controller is off because of a restart or its watchdog"},
    {"no-seeds alarm", OnOff::kNoSeeds, false,
     "the row controller holds up its alarm: at work, and no seed on the way of 20 spacings"},
    {"no-flow alarm", OnOff::kNoFlow, false,
     "the row controller holds up its alarm: bands went out, and the meter gave no pulse"},
    {"low-flow alarm", OnOff::kLowFlow, false,
     "the row controller holds up its alarm: less than 70 % of the flow that should pass"},
    {"high-flow alarm", OnOff::kHighFlow, false,
     "the row controller holds up its alarm: more than 130 % of the flow that should pass"},
    {"slow-valve alarm", OnOff::kSlowValve, false,
     "the row controller holds up its alarm: the valve opens later than its table says"},
    {"empty-line alarm", OnOff::kEmptyLine, false,
     "the row controller holds up its alarm: no pressure at the row's hose"},
    {"worn alarm", OnOff::kWorn, false,
     "the row controller holds up its alarm: the lowest rate that the row can lay has risen"},
    {"second-regulator alarm", OnOff::kSecondRegulator, false,
     "the machine controller holds up its alarm: another controller moves the pressure"},
};

constexpr RealSignalKind kReals[] = {
    {"supply pressure", RealSignal::kPressure, "Pa", "gauge pressure at the row's hose"},
    {"supply voltage", RealSignal::kVoltage, "V", "voltage at the row's driver"},
    {"coil current", RealSignal::kCurrent, "A", "current through the valve's coil"},
    {"lift", RealSignal::kLift, "m", "lift of the plunger off its seat"},
    {"outlet flow", RealSignal::kFlow, "m3/s", "flow out of the outlet"},
};

}  // namespace

std::span<const OnOffSignal> on_off_signals() { return kOnOff; }
std::span<const RealSignalKind> real_signals() { return kReals; }

const OnOffSignal* find_on_off(std::string_view name) {
  for (const OnOffSignal& one : kOnOff)
    if (one.name == name) return &one;
  return nullptr;
}

const RealSignalKind* find_real_signal(std::string_view name) {
  for (const RealSignalKind& one : kReals)
    if (one.name == name) return &one;
  return nullptr;
}

}  // namespace sim::scenario
