// One pass over the field: the spine. sim/bench/pass.cc stands in the order of one seed's way.
//
// Input    a scenario (complete, in SI) and the controller table that goes with it
// Output   a record of every row; the same bytes for any number of threads
// Errors   BenchError (exit 3) with step and state; ControllerError (exit 4)
// Checked  tests/sim/bench/pass_test.cc, tests/golden/
#pragma once

#include <atomic>
#include <cstdint>
#include <functional>
#include <string>
#include <vector>

#include "model/machine/manifold.h"
#include "sim/bench/errors.h"
#include "sim/bench/network_record.h"
#include "sim/bench/slot_ahead.h"
#include "sim/measure/record.h"
#include "sim/measure/waveform.h"
#include "sim/scenario/scenario.h"

namespace sim::bench {

struct CallLog;    // sim/bench/controller_port.h
struct Played;     // sim/bench/played.h
class PlayedFeed;  // sim/bench/played.h

/// Watch a seed of the row's middle that stands apart from its neighbours.
inline constexpr int kWatchTypical = -2;

/// Which seed to watch closely; row -1 watches none.
struct Watch {
  int row = -1;
  int seed = -1;
};

/// One line of a seed's way for `explain`: instant, step, what happened in words with numbers.
struct SeedStep {
  double time_s = 0.0;
  std::string step;
  std::string text;
};

/// A controller's fault that ended the pass, where the caller wants what came before it.
struct PassFault {
  int row = -1;  // -1: the machine's controller
  double at_s = 0.0;
  std::string text;  // empty: none
};

struct PassRecord {
  std::vector<measure::RowRecord> rows;
  double simulated_s = 0.0;       // row-seconds
  model::ManifoldState manifold;  // at the end, with what flowed; unchanged where there is none
  Watch watched;                  // the seed that was watched
  double watched_delivery_s = 0.0;
  measure::PulseHistory history;  // around the watched seed
  std::vector<SeedStep> steps;
  std::vector<measure::WaveInstant> wave;  // around the watched seed, where it was asked for
  PassFault fault;
  NetworkRecord network;
  std::vector<TimedEvent> machine_events;  // that the machine's controller reported
  std::vector<int> idle_faults;  // entries of the scenario that changed nothing; of a whole pass
};

/// What the machine did in the last whole second of a pass, for people who watch it.
struct LiveSecond {
  double at_s = 0.0;  // its end
  int rows = 0;
  int seeds = 0;   // that a sensor saw, of all rows
  int pulses = 0;  // that a row's bridge began
  double speed_mps = 0.0;
  double pressure_pa = 0.0;  // of the regulator
  double liquid_m3 = 0.0;    // out of all outlets
};

/// A piece of a pass begins or ends on the thread that calls: a slot, or an exchange step of it
/// (`phase`; -1: it is made), of the row `lane`; or of what lies between the rows, whose lane is
/// behind theirs.
struct PassWork {
  int lane = 0;
  std::int64_t phase = 0;
  bool begins = true;
};

struct PassOptions {
  Watch watch;
  std::uint32_t pass = 0;  // 0 the pass itself, 1 the strip test before it: same rows, other seeds
  const std::atomic<bool>* stop = nullptr;
  std::function<void(double done_ratio)> on_progress;
  std::function<void(const LiveSecond&)> on_second;
  // from any thread, in the order of each lane; never where controllers run apart
  std::function<void(const PassWork&)> on_work;
  bool wave = false;  // record the wave of the watched seed
  // ends once the watched seed's band and those around it lie; what comes later is missing
  bool until_watched = false;
  bool keep_fault = false;  // a controller's fault ends the record instead of throwing
  // of every row by index and, behind them, of the machine; resized and filled
  std::vector<CallLog>* calls = nullptr;
  // filled with what the machine's storage holds at the end; not where its port runs ahead
  std::vector<std::uint8_t>* machine_storage = nullptr;
  // keeps the openings of every row's valve, and samples of its coil's current this far apart
  bool keep_coil = false;
  double coil_step_s = 0.0;  // 0: no samples
  double share_ratio = 1.0;  // ends after this share of its time; what comes later is missing
  // a recording in place of the rows' controllers; every row of the scenario has one
  const Played* played = nullptr;
  // hands over what follows on `played`; then the record holds of each row the seeds and bands that
  // it still asked for, and sums of all
  PlayedFeed* feed = nullptr;
};

/// trim_um: of each row, by index; empty means none.
PassRecord run_pass(const scenario::Scenario& scenario, const sillion_attachment_table& table,
                    const std::vector<int>& trim_um, const PassOptions& options = {});

}  // namespace sim::bench
