// The demo scenario as tests use it: fewer seeds, and a quiet form without any noise.
#pragma once

#include <string>
#include <vector>

#include "sim/scenario/loader.h"

namespace sim_test {

inline sim::scenario::Scenario demo(std::vector<std::string> sets = {}) {
  sets.insert(sets.begin(), "seeds=260");
  return sim::scenario::load_scenario(std::string(SILLION_SOURCE_DIR) + "/scenarios/demo.toml",
                                      sets);
}

/// Nothing scatters: only the errors of the controller and of the model are left.
inline sim::scenario::Scenario quiet_demo(const std::vector<std::string>& more = {}) {
  std::vector<std::string> sets = {"seeds=60", "row.count=2", "controller.row_trim=false"};
  for (const char* key : {"seeding.scatter", "seeding.doubles", "seeding.skips", "sensor.missed",
                          "sensor.doubled", "noise.outlet_bore", "noise.coil_resistance",
                          "noise.spring_preload", "noise.pressure_ripple"})
    sets.push_back(std::string(key) + "=\"0 %\"");
  for (const char* key : {"delivery.rest_scatter", "noise.outlet_mount", "noise.sensor_height",
                          "noise.tube_length", "noise.drop_height_ride"})
    sets.push_back(std::string(key) + "=\"0 mm\"");
  sets.insert(sets.end(), {"delivery.time_scatter=\"0 ms\"", "sensor.jitter=\"0 ms\"",
                           "noise.speed_noise=\"0 m/s\"", "noise.voltage_ripple=\"0 V\"",
                           "clock.drift=\"0 ppm\""});
  sets.insert(sets.end(), more.begin(), more.end());
  return sim::scenario::load_scenario(std::string(SILLION_SOURCE_DIR) + "/scenarios/demo.toml",
                                      sets);
}

}  // namespace sim_test
