// A machine controller at 4 m/s whose pressure is measured: what the tests of a changed rate and of
// a pressure that does not follow share.
#pragma once

#include <cmath>
#include <functional>
#include <vector>

#include "tests/controller/fake_hardware.h"

namespace test {

inline constexpr std::int32_t kFullScale_pa = 1'600'000;
inline constexpr double kSpeed_mps = 4.0;

inline sillion_config pressed_config() {
  sillion_config config = machine_config();
  config.analog_full_scale[0] = kFullScale_pa;
  return config;
}

inline std::uint16_t counts_of(double pressure_pa) {
  return static_cast<std::uint16_t>(
      std::lround(std::clamp(pressure_pa / kFullScale_pa, 0.0, 1.0) * 1023.0));
}

/// RATE as the task controller sends it, for a rate in the band in nm, bands of 75 mm every 150 mm:
/// half of it is the field's, in 1e-11 m3/m2.
inline sillion_frame rate_frame(std::int32_t in_band_nm) {
  sillion_frame frame{};
  frame.id = SILLION_BUS_RATE;
  frame.length = 8;
  frame.sender = 254;
  frame.bytes[0] = 0x13;
  frame.bytes[2] = 1;
  const std::int32_t value = in_band_nm * 50;
  for (int k = 0; k < 4; ++k)
    frame.bytes[4 + k] = static_cast<std::uint8_t>((value >> (8 * k)) & 0xff);
  return frame;
}

/// The machine on the way: its regulator follows what it sets with a lag, bent by `bends` (time in
/// s, set point) -> what the regulator gets.
struct PressedMachine {
  using Bends = std::function<double(double, double)>;
  explicit PressedMachine(Bends bends, const sillion_config& config = pressed_config(),
                          double lag_s = 0.2)
      : machine(config), bends_(std::move(bends)), lag_s_(lag_s) {
    machine.set_pressure([this](std::int64_t) { return counts_of(pressure_pa); });
  }
  void report_speed(double speed_mps, std::int64_t from_us, std::int64_t until_us) {
    for (std::int64_t at = from_us; at < until_us; at += 100'000) {
      sillion_frame frame{};
      frame.id = SILLION_BUS_GROUND_SPEED;
      frame.length = 8;
      frame.sender = 254;
      const auto value = static_cast<std::uint16_t>(std::lround(speed_mps * 1e3));
      frame.bytes[0] = static_cast<std::uint8_t>(value & 0xff);
      frame.bytes[1] = static_cast<std::uint8_t>(value >> 8);
      frame.bytes[7] = 1;
      machine.receive(at, frame);
    }
  }
  void run_until(std::int64_t until_us) {
    while (machine.now_us() < until_us) {
      machine.run_until(machine.now_us() + kStep_us);
      const double now_s = static_cast<double>(machine.now_us()) * 1e-6;
      const double set_pa =
          machine.pressures_pa.empty() ? 20'000.0 : machine.pressures_pa.back().second;
      const double goal_pa = bends_(now_s, set_pa);
      pressure_pa = goal_pa + (pressure_pa - goal_pa) * std::exp(-kStep_us * 1e-6 / lag_s_);
      history.push_back(pressure_pa);
    }
  }
  double pressure_at_pa(double time_s) const {
    return history.at(static_cast<std::size_t>(time_s * 1e6 / kStep_us));
  }

  static constexpr std::int64_t kStep_us = 5000;
  FakeHardware machine;
  double pressure_pa = 20'000.0;
  std::vector<double> history;

  PressedMachine(const PressedMachine&) = delete;
  PressedMachine& operator=(const PressedMachine&) = delete;

 private:
  Bends bends_;
  double lag_s_;
};

}  // namespace test
