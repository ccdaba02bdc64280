// The attachments of the catalog with a liquid and a pressure, driven by short trains: what the
// tests of sim/bench/line_form judge.
#pragma once

#include <algorithm>
#include <string>

#include "sim/bench/line_form.h"
#include "sim/bench/row_fixed.h"
#include "sim/scenario/loader.h"
#include "tests/sim/demo_scenario.h"

namespace support {

struct FormCase {
  std::string attachment;
  std::string liquid;
  double pressure_pa = 3e5;
  double rate_hz = 30.0;
  double scatter_ratio = 0.12;
};

struct FormRow {
  model::RowUnitParams row;
  sim::bench::PulseTrain train;
};

/// 60 mm bands at 16 km/h, shorter ones where the rate leaves no room: at most 0.42 of the period.
inline FormRow form_row(const FormCase& one) {
  const sim::scenario::Scenario scenario =
      sim_test::demo({"attachment.name=" + one.attachment, "liquid.name=" + one.liquid});
  sim::bench::PulseTrain train;
  train.pressure_pa = one.pressure_pa;
  train.current_limit_a = scenario.attachment.hold_current_a;
  train.period_s = 1.0 / one.rate_hz;
  train.on_time_s = std::min(0.060 / train.ground_speed_mps, 0.42 * train.period_s);
  train.scatter_ratio = one.scatter_ratio;
  train.pulses = 8;
  train.jet = scenario.attachment.jet;
  return {sim::bench::nominal_liquid_path(scenario), train};
}

}  // namespace support
