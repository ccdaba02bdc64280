// `stimulus`: what reaches the controllers' pins in a pass, as signals that a generator can play
// into a real controller: the seed sensor of each row, and the ground speed as pulses. Together
// with `score`, which judges what the controller then did, it closes the loop without a port.
//
//   sensors  rowN.sensor, 1 while a seed covers the beam, with everything that the scenario does to
//            edges (missed, doubled, jitter, faults)
//   speed    machine.speed: 130 pulses per metre of the machine's middle, half of
//            each high; it stands still when the machine drives backwards
//   drives   rowN.drive, where they are asked for: of the scenario's own controller
//   current  rowN.current_a, with the drives: of the row's coil, sampled; in the table alone
//
// Time     bench time from run start, in nanoseconds
// Source   130 pulses per metre: ISO 11786 (agricultural tractor-mounted sensor interface), theory
//          and real ground speed; from memory
// Errors   InputError: more channels or samples than the form can hold
// Checked  tests/sim/study/score/stimulus_test.cc
#pragma once

#include <atomic>
#include <cstdint>
#include <functional>
#include <string>
#include <vector>

#include "sim/bench/played.h"
#include "sim/scenario/scenario.h"

namespace sim::score {

inline constexpr double kSpeedPulsesPerMetre_pm = 130.0;  // tidy: unit is 1/m

/// One signal with the instants at which it changes, beginning with 0.
struct Pin {
  std::string scope;  // "row0", "machine"
  std::string name;   // "sensor", "drive", "speed"
  std::vector<std::int64_t> toggles_ns;
};

struct Pins {
  std::string scenario;
  std::vector<Pin> pins;
  std::int64_t end_ns = 0;
  std::int64_t current_step_ns = 0;           // between samples of the currents; 0: there are none
  std::vector<std::vector<float>> current_a;  // by row, from time 0 on
  std::vector<std::vector<measure::PulseOpening>> openings;  // by row, where currents are sampled
};

struct StimulusOptions {
  bool drives = false;  // runs the pass, with its controller, and adds what it drove
  std::int64_t current_step_ns =
      0;  // with `drives`: also samples the coils' current this far apart
  const std::atomic<bool>* stop = nullptr;
  std::function<void(double done_ratio)> on_progress;
};

Pins stimulus_of(const scenario::Scenario& scenario, const StimulusOptions& options = {});

/// Each signal with its number of pulses.
std::string pins_json(const Pins& pins);
std::string pins_vcd(const Pins& pins);
/// t_s and a column per signal, a line per instant at which one changes or a current is sampled.
std::string pins_csv(const Pins& pins);
/// 16-bit PCM, a channel per signal: +16384 while it is 1, else -16384.
std::string pins_wav(const Pins& pins, std::uint32_t rate_hz);
/// One byte per sample, bit k for signal k.
std::string pins_raw(const Pins& pins, std::uint32_t rate_hz);

}  // namespace sim::score
