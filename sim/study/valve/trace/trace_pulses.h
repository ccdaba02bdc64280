// What a trace of a valve shows, pulse by pulse: the commands, when the plunger left seat and stop,
// when it landed there, and what is wrong.
//
//   The flux linkage that the plunger adds follows from the coil's own equation:
//     y(t) = integral of (u - R i) dt - L (i - i_on) = Kf x(t)
//   so y over its height at the stop is the lift over the travel. R comes from the steady current,
//   L from the rise before anything moves; noise of the current enters y as L times noise.
//   first motion   where y leaves zero: the plunger answers to Kf (i - i_0), so y is fitted as the
//                  double integral of that from there on, with i_0 = i(first motion)
//   landing        the kink of y: two nearly straight pieces meet where the speed jumps to -e times
//                  itself
//   reluctance     where the setup states that law, lift and pull follow from the magnetic circuit
//                  in closed form (trace_iron.h); the same search then finds start and landing
//   closing        the same downwards. With fast decay the current is zero before the plunger
//                  lands, which then shows only in the coil's voltage (its back-EMF), the exit
//                  pressure or the flow; with slow decay it shows in the current itself
//
// Units    instants are the trace's own times; *_after_s count from the command's edge
// Errors   InputError: the trace shows no pulse, or the current stands at its largest value for
//          longer than a hold can explain
// Valid    one valve; the commands are apart by more than the coil's time constant
// Checked  tests/sim/study/valve/trace/trace_pulses_test.cc, tests/published/valve_trace_test.cc
#pragma once

#include <cstdint>
#include <limits>
#include <optional>
#include <string>
#include <vector>

#include "sim/study/rig/rig_setup.h"
#include "sim/study/valve/trace/valve_trace.h"

namespace sim::valve {

/// A figure with one standard deviation; not-a-number: the trace does not show it.
struct Found {
  double value = std::numeric_limits<double>::quiet_NaN();  // tidy: unit the figure's
  double sd = std::numeric_limits<double>::quiet_NaN();     // tidy: unit the figure's
  bool seen() const { return value == value; }
};

/// How a trace is read: the setup's values, where the trace has no column for them.
struct TraceReading {
  double supply_v = 12.0;  // while driven, where no voltage was recorded
  rig::CurrentDecay decay = rig::CurrentDecay::kFast;
  double clamp_v = 0.0;        // of fast decay; 0: the supply
  double diode_v = 0.0;        // of slow decay
  double probe_range_a = 0.0;  // largest current that the probe shows; 0: not known
  double late_after_s = 1e-3;  // a pulse that opens later than the median by more than this is late
  double density_kgpm3 = 1000.0;  // of the collected liquid
  model::Coil coil;               // its force law; the circuit of a reluctance solenoid
  // With the reluctance law only: travel, and the moving mass, which counts as known to 30 %.
  double travel_m = 0.6e-3, mass_kg = 3e-3;
};

/// What can be wrong with one pulse; bits.
enum PulseFault : std::uint8_t {
  kPulseMissing = 1,   // commanded, but the plunger did not leave its seat
  kPulseLate = 2,      // opened later than the others
  kPulseBouncing = 4,  // left stop or seat again after landing
  kPulseSticking = 8,  // closed late, or stayed up after its command
  kPulseClipped = 16,  // the command ended before the plunger reached its stop
};

struct TracePulse {
  double on_s = 0.0, off_s = 0.0;  // instants of its commands
  double still_s = 0.0;        // since the last command off (first pulse: since the trace's start)
  Found first_motion_after_s;  // command on to leaving the seat
  Found at_stop_after_s;       // command on to landing at the stop
  Found left_stop_after_s;     // command off to leaving the stop
  Found seated_after_s;        // command off to landing on the seat
  Found half_flow_up_after_s;  // half of the steady flow, where flow or exit pressure was recorded
  Found half_flow_down_after_s;
  double bounce_s = 0.0;  // from the first landing at the stop to its last
  double seat_bounce_s = 0.0;
  double lift_ratio = 0.0;  // largest lift over the median travel of all pulses
  double lift_off_a = 0.0;  // current at first motion
  double hold_a = 0.0;      // at the end of the command
  double supply_v = 0.0;    // mean while driven; TraceReading's where not recorded
  Found dose_m3;            // where flow or mass was recorded: what the pulse adds to the leak
  std::uint8_t faults = 0;  // PulseFault bits
};

struct TraceFindings {
  double sample_hz = 0.0;  // median
  int gaps = 0;
  double longest_gap_s = 0.0;
  double duration_s = 0.0;
  double noise_a = 0.0;                    // sd of a sample of current
  double quantum_a = 0.0;                  // smallest step of current; 0: none seen
  double offset_a = 0.0, drift_aps = 0.0;  // of the probe at rest
  Found resistance_ohm;
  Found inductance_h;               // reluctance law: on the seat, at small currents
  Found linkage_vs;                 // Kf times travel; linear law only
  std::optional<model::Coil> coil;  // reluctance law: the circuit that the still stretches show
  double misfit_ratio = 0.0;        // rms of what R and L leave over in quiet stretches, over noise
  rig::CurrentDecay decay = rig::CurrentDecay::kFast;
  bool closing_seen = false;
  double pressure_pa = std::numeric_limits<double>::quiet_NaN();  // mean, where recorded
  Found leak_m3ps;  // mean flow while shut, where flow or mass was recorded
  std::vector<TracePulse> pulses;
  std::vector<std::string> cannot_tell;  // sentences: what rate, noise or columns leave open
};

/// Errors: InputError (no command, saturated current) and no other for a trace that the reader
/// made.
TraceFindings analyse_trace(const ValveTrace& trace, const TraceReading& reading);

}  // namespace sim::valve
