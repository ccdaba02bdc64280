// Where faults bend the bench: data that is bent between model and controller. Neither ever asks
// whether a fault is on.
//
//   A seam that holds a uniform_ratio carries a draw of its own for each fault that hits a share,
//   so that no other stream moves.
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
};

/// What the plant of one row gets, over what it should get.
struct PlantSeam {
  double outlet_area_ratio = 1.0;
  double seat_rim_ratio = 1.0;
  double supply_pressure_ratio = 1.0;
  double supply_voltage_ratio = 1.0;
  bool speed_lost = false;  // no speed message reaches the controller
};

/// One sample of speed and course on the tractor's bus.
struct BusSeam {
  int speed_counts = -1;  // stands in for the speed; -1: none does
  int direction = -1;     // likewise
  bool stale = false;     // what was said before the fault is said again
  bool course_lost = false;
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
};

/// Words of a scenario, in the order of enum sillion_reset, which starts at 1.
inline constexpr std::array<std::string_view, 3> kResetCauses = {"power", "watchdog", "request"};
inline constexpr std::array<std::string_view, 3> kRetained = {"kept", "lost", "damaged"};

/// A restart that one entry of a scenario asks for.
struct RestartSeam {
  bool machine = false;  // whose restart is asked for: the machine's controller, or a row's
  bool asked = false;
  double off_s = 0.0;
  int cause = 0;     // of kResetCauses
  int retained = 0;  // of kRetained

  void take(double for_s, int why, int memory) {
    asked = true;
    off_s = for_s;
    cause = why;
    retained = memory;
  }
};

/// The watchdog of a controller.
struct WatchdogSeam {
  bool machine = false;
  bool kick_hidden = false;
};

}  // namespace sim::scenario
