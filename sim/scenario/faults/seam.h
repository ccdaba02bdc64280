// Where faults act on the bench: data on its way between model and controller, which a fault
// changes. Neither model nor controller ever asks whether a fault is on.
//
//   A seam that holds a uniform_ratio carries a separate draw for each fault that acts on a share,
//   so that no other random stream is shifted.
//
// Checked  tests/sim/scenario/loader_test.cc, tests/sim/bench/drives_test.cc
#pragma once

#include <array>
#include <string_view>

namespace sim::scenario {

/// One edge of the seed sensor on its way to the controller.
struct EdgeSeam {
  double at_s = 0.0;
  bool lost = false;
  double uniform_ratio = 1.0;  // this edge's draws, [0, 1)
  double doubled_uniform_ratio = 1.0;
  double burst_uniform_ratio = 1.0;
  double doubled_after_s = 0.0;  // 0: not doubled
  bool burst = false;
  double jitter_normal_ratio = 0.0;  // a draw of unit variance
  bool operator==(const EdgeSeam&) const = default;
};

/// What the plant of one row gets, over what it would get without faults.
struct PlantSeam {
  double outlet_area_ratio = 1.0;
  double seat_rim_ratio = 1.0;
  double supply_pressure_ratio = 1.0;
  double supply_voltage_ratio = 1.0;
  bool speed_lost = false;  // no speed message reaches the controller
  double preload_ratio = 1.0;
  double friction_over_preload_ratio = 0.0;  // on top of the plunger's own
  double leak_ratio = 0.0;                   // of the flow through the open valve
  double coil_resistance_ratio = 1.0;
  double meter_ratio = 1.0;  // what the row's meter counts of what passes
  bool coil_open = false;
  bool driver_on = false;
  bool slow_decay = false;
  bool operator==(const PlantSeam&) const = default;
};

/// The pressure regulator.
struct SupplySeam {
  double at_s = 0.0;            // now
  bool stuck = false;           // it keeps its set point
  double setpoint_ratio = 1.0;  // what it gets over what the machine's controller gives
  bool operator==(const SupplySeam&) const = default;
};

/// The digital inputs.
struct InputSeam {
  bool lift_stuck = false;
  double entry_from_s = 0.0;  // start of the fault that acts
  bool operator==(const InputSeam&) const = default;
};

/// One sample of speed and course on the tractor's bus.
struct BusSeam {
  int speed_counts = -1;  // replaces the speed; -1: the true speed
  int direction = -1;     // replaces the direction; -1: the true direction
  bool stale = false;     // the frame repeats the last one before the fault
  bool course_lost = false;
  double speed_ratio = 1.0;  // speed that is shown over the true one
  bool operator==(const BusSeam&) const = default;
};

/// One frame between the machine's controller and a row.
struct FrameSeam {
  double lost_uniform_ratio = 1.0;  // this frame's draws, [0, 1)
  double late_uniform_ratio = 1.0;
  double repeated_uniform_ratio = 1.0;
  double reordered_uniform_ratio = 1.0;
  double corrupted_uniform_ratio = 1.0;
  double short_uniform_ratio = 1.0;
  bool lost = false;
  double late_s = 0.0;
  bool repeated = false;
  bool reordered = false;
  bool corrupted = false;
  bool cut = false;
  bool operator==(const FrameSeam&) const = default;
};

/// The bus in the cab.
struct CabSeam {
  bool cut = false;          // no frame passes
  bool machine_off = false;  // the machine's node is bus off and does not recover
  double free_ratio = 1.0;   // of the time that the other nodes of the scenario leave free
  bool operator==(const CabSeam&) const = default;
};

/// Words of a scenario, in the order of enum sillion_reset, which starts at 1.
inline constexpr std::array<std::string_view, 4> kResetCauses = {"power", "watchdog", "request",
                                                                 "brown-out"};
inline constexpr int kCauseBrownOut = 3;  // of kResetCauses
/// Time from a supply that is back to a small part's first call: common practice, no source.
inline constexpr double kStartTime_s = 10e-3;
inline constexpr std::array<std::string_view, 3> kRetained = {"kept", "lost", "damaged"};

/// The restart that one entry of a scenario asks for.
struct RestartSeam {
  bool machine = false;  // true: of the machine's controller, false: of a row's
  bool asked = false;
  double off_s = 0.0;
  int cause = 0;     // index in kResetCauses
  int retained = 0;  // index in kRetained
  // what a dip of the supply is held against
  double supply_v = 0.0;
  double brown_out_v = 0.0;
  double brown_out_time_s = 0.0;
  double after_s = 0.0;  // the reset comes this long after the fault's start
  bool operator==(const RestartSeam&) const = default;

  void take(double for_s, int why, int memory) {
    asked = true;
    off_s = for_s;
    cause = why;
    retained = memory;
  }
  void dip(double for_s, double missing_ratio, int memory) {
    if (supply_v * (1.0 - missing_ratio) >= brown_out_v || for_s <= brown_out_time_s) return;
    take(for_s - brown_out_time_s + kStartTime_s, kCauseBrownOut, memory);
    after_s = brown_out_time_s;
  }
};

/// A whole number that a fault's key may have.
struct WholeRange {
  int low = 0;
  int high = 0;
};

/// What one fault does to the storage of a row controller.
struct StorageSeam {
  int entry = 0;  // of the scenario's faults, by index
  bool worn = false;
  int page = 0;
  int damaged_bits = 0;
  int cut_write = 0;  // erases and programs count from 1; 0: none is cut
  int cut_bytes = 0;
  double cut_off_s = 0.0;
  bool operator==(const StorageSeam&) const = default;
};

/// The watchdog of a controller.
struct WatchdogSeam {
  bool machine = false;
  bool kick_hidden = false;
  bool operator==(const WatchdogSeam&) const = default;
};

}  // namespace sim::scenario
