// What crosses the controller's interface besides edges and compares, as plain lists: frames byte
// by byte, converter channels and digital inputs. `list frames` and `list signals` print them.
//
// The words are those of shared/row_frames.h and shared/controller_abi.h, from which a controller
// is written: a test compares the two, so that neither changes alone.
//
// Checked  tests/sim/scenario/frame_catalog_test.cc
#pragma once

#include <cstdint>
#include <span>
#include <string_view>

namespace sim::scenario {

struct FrameField {
  std::string_view bytes;  // "2-5", "7 bits 0-1"
  std::string_view name;
  std::string_view unit;  // with the storage of the number: "um/s, signed"
  std::string_view meaning;
};
struct FrameKind {
  std::string_view name;
  std::uint32_t id = 0;
  std::uint32_t length_bytes = 0;
  std::string_view way;  // sender, receiver, and when it is sent
  std::span<const FrameField> fields;
};
std::span<const FrameKind> frame_kinds();

/// A converter channel or a bit of sillion_input.digital.
struct InterfaceInput {
  std::string_view name;
  std::uint32_t number = 0;  // number of the channel, or value of the bit
  std::string_view unit;
  std::string_view meaning;
};
std::span<const InterfaceInput> analog_channels();
std::span<const InterfaceInput> digital_inputs();

}  // namespace sim::scenario
