// The seed sensor: what the controller's input sees of the seeds that pass.
//
//   A seed covers the beam for its dwell. Rising edge = beam covered (plus jitter), falling edge =
//   beam free. A seed that arrives before the beam is free again only prolongs it: two seeds closer
//   than the dwell read as one. A missed seed leaves no edge and covers nothing; a doubled one
//   gives a second pair of edges, one dwell long, shortly after its own. That false pulse is on the
//   line like a true one: a seed that arrives while it lasts is swallowed by it, and it is itself
//   swallowed when it would start while another seed covers the beam.
//   The line has one level, so edges alternate: jitter moves a rising edge neither before the
//   falling edge ahead of it nor past its own falling edge; there it is held. So pulses stay in
//   order of time whatever the jitter.
//
// Input    passings in order of time, with their draws
// Output   pulses in order of time, each with the passing it is of
// Errors   EXPECTS passings in order, dwell > 0, doubled_after >= 0
// Checked  tests/model/seed/seed_sensor_test.cc
#pragma once

#include <span>
#include <vector>

namespace model {

struct SeedSensorParams {
  double dwell_s = 3.3e-3;
  double jitter_s = 0.2e-3;  // sd of the rising edge
  double missed_ratio = 0.01;
  double doubled_ratio = 0.003;
  double doubled_after_s =
      4.0e-3;  // from the end of the seed's own dwell to the false second pulse
};

struct Passing {
  double time_s = 0.0;
  double missed_uniform_ratio = 1.0;  // missed when below missed_ratio
  double doubled_uniform_ratio = 1.0;
  double jitter_normal_ratio = 0.0;
};

struct SensorPulse {
  double rising_s = 0.0;
  double falling_s = 0.0;
  int passing = 0;         // index of the seed that raised the edge
  bool false_one = false;  // no seed behind it
};

struct SensorRecord {
  std::vector<SensorPulse> pulses;
  std::vector<bool>
      sensed;  // by passing: its own edge was raised (not missed, not swallowed by the seed before)
};

SensorRecord sense(const SeedSensorParams& params, std::span<const Passing> passings);

}  // namespace model
