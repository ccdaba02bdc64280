// Where faults bend the bench: data that is bent between model and controller. Neither ever asks
// whether a fault is on.
//
// Checked  tests/sim/loader_test.cc
#pragma once

namespace sim {

/// One edge of the seed sensor on its way to the controller.
struct EdgeSeam {
  double at_s = 0.0;
  bool lost = false;
  double uniform_ratio = 1.0;  // this edge's draw, [0, 1)
};

/// What the plant of one row gets, over what it should get.
struct PlantSeam {
  double outlet_area_ratio = 1.0;
  double seat_rim_ratio = 1.0;
  double supply_pressure_ratio = 1.0;
  double supply_voltage_ratio = 1.0;
  bool speed_lost = false;  // no speed message reaches the controller
};

}  // namespace sim
