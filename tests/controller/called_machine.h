// A machine controller that a test calls by itself, call by call, without hardware around it.
#pragma once

#include <cstdint>
#include <vector>

#include "controller/machine_controller.h"
#include "tests/controller/fake_hardware.h"

namespace test {

inline constexpr std::uint32_t kCalledAt = 1'000'000;

inline sillion_frame ground_speed(std::uint16_t mmps, std::uint8_t direction = 0xfd) {
  sillion_frame frame{};
  frame.id = SILLION_BUS_GROUND_SPEED;
  frame.length = 8;
  frame.sender = 254;
  frame.bytes[0] = static_cast<std::uint8_t>(mmps & 0xff);
  frame.bytes[1] = static_cast<std::uint8_t>(mmps >> 8);
  frame.bytes[7] = direction;
  return frame;
}

/// Called with the frames that were added; what goes out is decoded.
struct CalledMachine {
  sillion_config config;
  controller::MachineController machine;
  sillion_input in{};
  sillion_output out{};
  sillion_health health{};

  explicit CalledMachine(std::uint32_t resets = 0,
                         const std::vector<std::uint8_t>* storage = nullptr,
                         const sillion_config& with = machine_config())
      : config(with),
        machine(
            controller::machine_controller_for(with, storage != nullptr ? storage->data() : nullptr,
                                               storage != nullptr ? storage->size() : 0, resets)) {
    machine.motion_sent_ticks = kCalledAt;
  }
  void add(const sillion_frame& frame, std::uint32_t at_ticks = kCalledAt) {
    in.frames[in.frame_count] = frame;
    in.frames[in.frame_count++].received_ticks = at_ticks;
  }
  void call(std::uint32_t why, std::uint32_t at_ticks = kCalledAt) {
    in.now_ticks = at_ticks;
    in.why = why;
    out = {};
    controller::Report report{out, health, at_ticks};
    step(machine, in, report);
    in = {};
  }
  template <typename Frame>
  int sent(Frame* last = nullptr) const {
    int count = 0;
    for (std::uint32_t k = 0; k < out.frame_count; ++k) {
      Frame frame;
      if (!controller::decode(out.frames[k], frame)) continue;
      ++count;
      if (last != nullptr) *last = frame;
    }
    return count;
  }
  int motions() const { return sent<controller::MotionFrame>(); }
  int set_points() const { return sent<controller::SetPointFrame>(); }
};

}  // namespace test
