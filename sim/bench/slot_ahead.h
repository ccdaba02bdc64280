// A whole slot of one controller, asked at once: where its pins see nothing of what it does within
// the slot, its port can run ahead of the plant, beside the controller in the worker process.
//
//   question  until when, the supply as this row meets it step by step, edges and frames of the
//             slot, the burst of the coil's current that is handed over at its start
//   answer    what the bridge does and when, frames, events, health, the last kick of the watchdog
//
// Why       a change of process costs as much as a dozen calls; a row is called a dozen times per
//           slot
// Holds     where no flow meter, no manifold and no common harness lets a controller see what it
//           did itself, the build wants no coil current at its calls (analog channel 2) of a row
//           with a coil, and nothing is stated of its storage
// Errors    ControllerError of a lane whose controller fails: row, instant, call
// Checked   tests/sim/bench/controller_host_test.cc
#pragma once

#include <cstdint>
#include <span>

#include "shared/controller_abi.h"
#include "shared/time.h"
#include "sim/bench/supply_line.h"

namespace sim::bench {

struct BridgeChange {
  shared::Instant at{};
  sillion_bridge_command command{};
};

/// A burst of the coil's current, as the row's converter recorded it.
struct CurrentBurst {
  shared::Instant start{};  // when the bridge went over to DRIVE
  std::uint32_t count = 0;  // 0: none
  std::uint16_t counts[SILLION_BURST_MAX] = {};
};

struct TimedEvent {
  shared::Instant at{};
  sillion_event_record record{};
};

/// A frame that a controller gave to its transmitter.
struct SentFrame {
  sillion_frame frame{};
  shared::Instant given{};
  shared::Instant left{};  // end of its transmission; without a radio or bus: not used
};

inline constexpr std::uint32_t kAheadEdges = 256;  // more: the question ends before them
inline constexpr std::uint32_t kAheadFrames = 256;
inline constexpr std::uint32_t kAheadEvents = 512;

struct AheadQuestion {
  std::int32_t lane;
  std::uint32_t fresh;  // 1: a slot begins; 0: the slot before goes on
  shared::Instant from;
  shared::Duration step;
  shared::Instant until;  // everything due before this is answered
  SupplyLine supply;      // at `from`
  std::uint32_t digital;
  std::uint32_t sent_ok;  // frames whose fate became known
  std::uint32_t sent_failed;
  CurrentBurst burst;  // handed over at the slot's start, in the first question of the slot
  std::uint32_t edges;
  std::uint32_t frames;
  shared::Instant edge_at[kAheadEdges];
  std::uint8_t edge_rising[kAheadEdges];
  shared::Instant frame_at[kAheadFrames];
  sillion_frame frame[kAheadFrames];
};

struct AheadAnswer {
  std::uint32_t changes;
  std::uint32_t frames;
  std::uint32_t events;
  std::uint32_t pressure_given;
  double pressure_pa;
  shared::Instant last_kick;
  BridgeChange change[kAheadEvents];
  sillion_frame frame[kAheadFrames];
  shared::Instant frame_at[kAheadFrames];
  std::int64_t calls;  // since the start
  TimedEvent event[kAheadEvents];
  sillion_health health;
};

/// What is left of a controller's memory when it starts again.
enum class Retained : std::uint8_t { kNone, kKept, kDamaged };

/// How a controller's clock runs against the world.
struct ClockSetup {
  double drift_ratio = 0.0;
  double start_before_wrap_s = 0.0;
};

/// A host whose ports run ahead, by lane.
class AheadHost {
 public:
  virtual ~AheadHost() = default;
  virtual void open(int lane, const sillion_config& config, const ClockSetup& clock) = 0;
  virtual void stop(int lane, shared::Instant at, bool power_lost) = 0;
  virtual void restart(int lane, shared::Instant at, std::uint32_t cause, Retained retained) = 0;
  /// The place of a lane's next question.
  virtual AheadQuestion& question(int lane) = 0;
  /// Asks the questions of all these lanes.
  virtual void run(std::span<const int> lanes) = 0;
  virtual const AheadAnswer& answer(int lane) const = 0;
};

}  // namespace sim::bench
