// One controller's pins: its clock, its interrupts, its compare channels, its frames.
//
//   A pass drives it in two halves, so that the controllers of many rows can be asked together:
//     while (port.call_due(until, plant, changes)) {
//       ask the host with port.call();
//       port.take(...);
//     }
//
// Order at one instant, fixed: compare matches (the pin acts, then the interrupt), edges, frames,
// periodic tick. The controller takes no simulated time beyond the interrupt latency that it
// declares.
//
// Guard    a call that fails (sim/bench/controller_host.h) or returns what the interface does not
//          have ends the pass
// Errors   ControllerError with row, instant and call: refused to start, asks for more than the
//          interface allows, calls back without end, or any of those above; InputError of a storage
//          image that does not fit
// Checked  tests/sim/bench/controller_port_test.cc, tests/sim/bench/guarded_call_test.cc
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "shared/controller_abi.h"
#include "shared/time.h"
#include "sim/bench/analog_input.h"
#include "sim/bench/call_log.h"
#include "sim/bench/controller_clock.h"
#include "sim/bench/controller_host.h"
#include "sim/bench/plant_view.h"
#include "sim/bench/seed_way.h"
#include "sim/bench/storage.h"

namespace sim::bench {

class ControllerPort {
 public:
  /// Starts the controller of `lane` at bench time 0; `host` outlives the port.
  ControllerPort(ControllerHost& host, int lane, const sillion_config& config,
                 const ClockSetup& clock, const std::vector<EdgePair>& edges,
                 const StorageSetup& storage = {});

  /// Whether call_due() would find something: an event or a sample before `until`, or an answer's
  /// own request.
  bool busy_before(shared::Instant until) const {
    return next_event_ < until || analog_.next() < until || input_.why != 0;
  }
  /// Brings the port to its next call before `until`, if there is one: what the pins did at that
  /// instant is appended to `changes`, and call() holds what to ask.
  bool call_due(shared::Instant until, const PlantView& plant, std::vector<BridgeChange>& changes);
  /// The call that is due.
  StepCall call();
  /// Takes the answer of that call; appends what the bridge does to `changes`, in order of time.
  void take(const StepCall& answered, std::vector<BridgeChange>& changes);
  /// Makes every call that is due before `until` and takes its answer.
  void run_until(shared::Instant until, const PlantView& plant, std::vector<BridgeChange>& changes);

  /// When running ahead: fills in the port's part of a question, up to `until` or to an instant
  /// before it beyond which no more fits.
  void ask(shared::Instant until, AheadQuestion& question);
  void take(const AheadAnswer& answer, std::vector<BridgeChange>& changes);
  bool runs_ahead() const { return ahead_ != nullptr; }
  /// Instant up to which the controller has been asked.
  shared::Instant asked_until() const { return asked_until_; }
  /// For the port beside the controller: takes what a question brings, and fills in the answer.
  void give(const AheadQuestion& question);
  void tell(const std::vector<BridgeChange>& changes, AheadAnswer& answer);

  /// Hands a frame over at `at`; it interrupts at the next call.
  void receive(const sillion_frame& frame, shared::Instant at);
  /// A burst of the coil's current goes along with the next call.
  void hand_over(const CurrentBurst& burst) {
    if (running_ && burst.count > 0) burst_ = burst;
  }
  /// Frames that the controller has sent since the last call.
  std::vector<SentFrame> take_sent();
  /// What became of frames that were sent: the next call says so.
  void transmitted(std::uint32_t ok, std::uint32_t failed);

  /// The controller stops at `at`, as without supply: its pins fall back, so the bridge lets the
  /// coil's current die away; what comes in meanwhile is lost. Nothing is called until it starts.
  /// `power_lost`: its storage stops as well, in the middle of a write.
  void stop(shared::Instant at, std::vector<BridgeChange>& changes, bool power_lost = false);
  /// Starts again at `at` after a reset of that cause (enum sillion_reset): the counter begins
  /// anew.
  void restart(shared::Instant at, std::uint32_t cause, Retained retained);
  /// Instant of the call that is due or was made last.
  shared::Instant at() const { return at_; }
  /// Calls made so far.
  std::int64_t calls() const { return calls_; }
  /// When the watchdog was kicked last; the start counts as a kick.
  shared::Instant last_kick() const { return last_kick_; }

  /// The storage beside this port; where ports run ahead, that of the port there is unknown here.
  const Storage& storage() const { return storage_; }

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
  void add_edges(const std::vector<EdgePair>& edges);
  void read_hardware();
  void start(Retained retained);
  void collect(shared::Instant at, std::vector<BridgeChange>& changes);
  void collect_edges(shared::Instant at);
  void collect_frames(shared::Instant at);
  void set_tick(std::int64_t now_ticks);
  void fill_input(const PlantView& plant);
  void fill_burst();
  void open_storage(const StorageSetup& setup);
  void fill_storage_input();
  void take_storage_command();
  void refuse_storage_command() const;
  void stop_storage(shared::Instant at, bool power_lost);
  void arm(const sillion_compare_request& request, std::int64_t now_ticks);
  void refuse_output() const;
  [[noreturn]] void fault(const std::string& what) const;
  void find_next_event();

  ControllerHost& host_;
  int lane_;
  sillion_hardware hardware_{};
  sillion_config config_{};
  std::int64_t calls_ = 0;
  CallLog* log_ = nullptr;
  ControllerClock clock_;
  bool running_ = true;
  AheadHost* ahead_ = nullptr;
  shared::Instant asked_until_{};
  std::vector<CapturedEdge> edges_;  // both polarities, in order of time
  std::size_t next_edge_ = 0;
  Compare compares_[SILLION_COMPARE_MAX];
  shared::Instant next_tick_{};
  std::int64_t ticks_done_ = 0;  // ticks until the tick before the next one
  bool asleep_ = false;          // the next tick comes later than the period says
  std::vector<sillion_frame> inbox_;
  std::vector<shared::Instant> inbox_at_;
  std::vector<SentFrame> sent_;
  std::uint32_t sent_ok_ = 0;
  std::uint32_t sent_failed_ = 0;
  AnalogInput analog_;
  CurrentBurst burst_{};  // for the next call
  Storage storage_;
  std::int64_t page_to_read_ = -1;     // -1: none; others in sim/bench/port_storage.cc
  std::uint32_t storage_refused_ = 0;  // enum sillion_storage_command
  shared::Instant at_{};               // of the call that is due or was made last
  int calls_at_once_ = 0;
  sillion_input input_{};
  sillion_output output_{};
  sillion_health health_{};
  std::vector<TimedEvent> events_;
  bool pressure_given_ = false;
  double pressure_pa_ = 0.0;
  shared::Instant last_kick_{};
  shared::Instant next_event_{};
};

/// Which call of which controller: row -1 is the machine's.
struct CallPlace {
  int row = -1;
  shared::Instant at{};
  std::int64_t call = 0;
  std::uint32_t why = 0;  // bits SILLION_WHY_*
};
/// "row 3 at 1.234567 s, call 42 (tick): what".
std::string call_sentence(const CallPlace& place, const std::string& what);

/// The tick of a build in this role, in seconds; not-a-number where it does not offer the role.
double tick_of_s(const std::string& library, std::uint32_t role);

}  // namespace sim::bench
