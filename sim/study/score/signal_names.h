// Which signals of a recording are which pins of the controller: by their own names or by those
// that the person gives (`--signal`), and which of them are inverted (`--invert`).
//
// Errors   InputError "file: what": a name that no signal has, a signal that holds something else
//          than its pin needs, a row without one of both pins, a pin or a signal named twice; with
//          the nearest valid name and what the recording has
// Checked  tests/sim/study/score/signal_names_test.cc
#pragma once

#include <cstdint>
#include <span>
#include <string>
#include <vector>

#include "sim/study/score/capture.h"

namespace sim::score {

enum class Role : std::uint8_t { kNone, kSensor, kDrive, kCurrent };

/// What a recording can say of a signal.
enum class Holds : std::uint8_t { kAnything, kLevels, kNumbers };

struct RecordedSignal {
  std::string name;  // empty: it cannot be asked for
  Holds holds = Holds::kAnything;
};

/// What a recorded signal is for the controller.
struct PinUse {
  Role role = Role::kNone;
  std::size_t row = 0;
  bool inverted = false;
};

/// "sensor", "drive", "current_a".
const char* word_of(Role role);

/// For each recorded signal, in the recording's own order.
std::vector<PinUse> uses_of(const std::string& file, std::span<const RecordedSignal> recorded,
                            const CaptureWords& words);

}  // namespace sim::score
