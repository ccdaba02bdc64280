// Flow meter in a row's hose: a rotor that the liquid turns, and an edge each time that one more
// pulse volume has passed it for good.
//
//   passed += V of the step             net, backflow counts against it
//   a pulse when passed >= V_pulse; then passed -= V_pulse
//
//   The liquid between supply and valve sloshes after every pulse of the valve, so much of what
//   runs forward runs back again. Rotor or gears turn back with it, and two pickups tell in which
//   direction; the electronics make up what went backwards before they count on. So pulses report
//   net forward volume beyond its earlier maximum. (A single pickup cannot tell directions: it
//   would count the slosh as flow and is not fit for this place.)
//
//   Slip   below a least flow Q_min the liquid leaks past a rotor that stands. The mean flow over
//          a pulse's volume decides, since the rotor's inertia carries it through the valve's
//          pauses: volume that does not fill a pulse within V_pulse/Q_min is lost to the count.
//          This time does not run while no volume waits to be counted, so standing still costs
//          nothing and a slow start loses less than one pulse.
//
// State    the volume since the last pulse (negative: to be made up) and how long it has waited
// Errors   EXPECTS a pulse volume above 0, a least flow not below 0, a step above 0
// Valid    no error of the rotor itself (its factor is the number of pulses per litre); no lag
// Source   two pickups and making up of backflow, a least flow: common practice, no source
// Checked  tests/model/machine/flow_meter_test.cc
#pragma once

#include <cstdint>

namespace model {

struct FlowMeter {
  double pulse_m3 = 1e-6;     // volume of one pulse
  double minimum_m3ps = 0.0;  // below this flow the rotor stands; 0: it turns at any flow
};

struct FlowMeterState {
  double passed_m3 = 0.0;    // net, since the last pulse
  double waited_s = 0.0;     // since passed_m3 was last 0 or less
  std::uint32_t pulses = 0;  // free-running, wraps
};

/// Moves the meter by the net volume of one step; true when it made at least one pulse.
bool turn(FlowMeterState& state, double volume_m3, double step_s, const FlowMeter& meter);

}  // namespace model
