// One controller instance behind shared/controller_abi.h: its memory, its clock, its interrupts,
// its compare channels.
//
// Order at one instant, fixed: compare matches (the pin acts, then the interrupt), edges, frames,
// periodic tick. The controller takes no simulated time beyond the interrupt latency that it
// declares.
//
// Clock    counter = start + floor(t (1 + drift) / tick_ns), wrapping at counter_bits; integers
//          throughout
// Guard    a call that crashes, hangs, breaks the floating-point state (guarded_call.h), writes
//          beside its memory or returns what the interface does not have ends the pass
// Errors   ControllerError with row, instant and call: refused to start, asks for more than the
//          interface allows, calls back without end, or any of those above
// Checked  tests/sim/controller_port_test.cc, tests/sim/guarded_call_test.cc
#pragma once

#include <cstdint>
#include <memory>
#include <string>
#include <vector>

#include "shared/controller_abi.h"
#include "shared/time.h"
#include "sim/bench/seed_way.h"

namespace sim {

/// The three functions of a controller build: the reference that is linked in, or somebody's shared
/// library.
struct ControllerLibrary {
  const sillion_hardware* (*describe)(uint32_t) = nullptr;
  sillion_controller* (*init)(void*, size_t, const sillion_config*, const void*, size_t) = nullptr;
  void (*step)(sillion_controller*, const sillion_input*, sillion_output*) = nullptr;
};
ControllerLibrary reference_controller();
/// Loads FILE.so; it stays loaded until the program ends.
/// Errors   InputError: no such file, no shared library, a function that is missing
ControllerLibrary load_controller(const std::string& file);

/// A controller's own counter against bench time.
class ControllerClock {
 public:
  ControllerClock() = default;
  ControllerClock(const sillion_hardware& hardware, double drift_ratio, double start_before_wrap_s);
  std::int64_t ticks_at(shared::Instant at) const;  // since start, not wrapped
  // first instant at which the counter shows them
  shared::Instant instant_of_ticks(std::int64_t ticks) const;
  std::uint32_t counter(std::int64_t ticks) const;  // wrapped, with the start value
  /// Signed distance from `ticks` to a wrapped counter value, within half a range.
  std::int64_t ahead_ticks(std::int64_t ticks, std::uint32_t counter_value) const;

 private:
  std::int64_t tick_ns_ = 1000;
  std::int64_t rate_ppb_ = 1'000'000'000;
  std::uint32_t mask_ = 0xffffffffu;
  std::uint32_t start_ = 0;
};

/// What the controller's pins and converters see of the plant just now.
struct PlantView {
  double pressure_pa = 0.0;
  double supply_voltage_v = 0.0;
  double coil_current_a = 0.0;
  std::uint32_t meter_pulses = 0;
  shared::Instant meter_last{};
  std::uint32_t digital = 0;
};

struct BridgeChange {
  shared::Instant at{};
  sillion_bridge_command command{};
};

struct TimedEvent {
  shared::Instant at{};
  sillion_event_record record{};
};

/// What a port writes down of its calls, so that two builds can be compared call by call.
struct CallLog {
  std::vector<std::uint64_t> digests;  // of input and output, in order of calls
  std::int64_t capture = -1;           // the call to keep whole
  shared::Instant captured_at{};
  shared::Instant equal_until{};  // of the call before the captured one
  sillion_input captured_input{};
  sillion_output captured_output{};
};

class ControllerPort {
 public:
  ControllerPort(const ControllerLibrary& library, sillion_config config, double clock_drift_ratio,
                 double start_before_wrap_s, const std::vector<EdgePair>& edges);

  shared::Instant next_event() const { return next_event_; }
  /// Handles everything that is due before `until`; appends what the bridge does to `changes`, in
  /// order of time.
  void run_until(shared::Instant until, const PlantView& plant, std::vector<BridgeChange>& changes);
  /// Hands a frame over at `at`; it interrupts at the next run_until.
  void receive(const sillion_frame& frame, shared::Instant at);
  /// Frames that the controller has sent since the last call.
  std::vector<sillion_frame> take_sent();

  /// `log` outlives the port.
  void write_down(CallLog& log) { log_ = &log; }

  const sillion_health& health() const { return health_; }
  std::vector<TimedEvent> take_events();
  bool pressure_setpoint_given() const { return pressure_given_; }
  double pressure_setpoint_pa() const { return pressure_pa_; }

 private:
  struct CapturedEdge {
    shared::Instant at{};
    bool rising = true;
  };
  struct Compare {
    bool armed = false;
    shared::Instant at{};
    sillion_bridge_command then{};
  };
  void call(shared::Instant at, std::uint32_t why, const PlantView& plant,
            std::vector<BridgeChange>& changes);
  void call_once(shared::Instant at, const PlantView& plant, std::vector<BridgeChange>& changes);
  void ask_controller(shared::Instant at);
  void refuse_output(shared::Instant at) const;
  [[noreturn]] void fault(shared::Instant at, const std::string& what) const;
  void find_next_event();

  ControllerLibrary library_;
  const sillion_hardware* hardware_ = nullptr;
  sillion_config config_{};
  std::vector<std::uint64_t> memory_;  // the controller's block between two fences
  std::int64_t calls_ = 0;
  CallLog* log_ = nullptr;
  sillion_controller* controller_ = nullptr;
  ControllerClock clock_;
  std::vector<CapturedEdge> edges_;  // both polarities, in order of time
  std::size_t next_edge_ = 0;
  Compare compares_[SILLION_COMPARE_MAX];
  shared::Instant next_tick_{};
  std::int64_t ticks_done_ = 0;
  std::vector<sillion_frame> inbox_;
  std::vector<shared::Instant> inbox_at_;
  std::vector<sillion_frame> sent_;
  std::uint32_t sent_ok_ = 0;
  sillion_input input_{};
  sillion_output output_{};
  sillion_health health_{};
  std::vector<TimedEvent> events_;
  bool pressure_given_ = false;
  double pressure_pa_ = 0.0;
  shared::Instant next_event_{};
};

}  // namespace sim
