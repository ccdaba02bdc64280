// The levels of a recording's signals, one change after the other, become edges and driven times.
//
// Errors   InputError: names that no signal has (with the nearest), rows without one of both
//          signals, time that runs backwards
// Checked  tests/sim/study/score/capture_test.cc
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "sim/study/score/capture.h"

namespace sim::score {

class PinLevels {
 public:
  /// `recorded`: the names of the recording's signals, in its own order.
  PinLevels(const std::string& file, const std::vector<std::string>& recorded,
            const CaptureWords& words);

  /// The signal with this place in the recording has this level from `at_s` on.
  void level(std::size_t signal, bool high, double at_s);
  /// The recording ends; a drive that is still on ends there.
  Capture finish(double end_s, double resolution_s, bool resolution_known);

 private:
  enum class Role : std::uint8_t { kNone, kSensor, kDrive };
  struct Pin {
    Role role = Role::kNone;
    std::size_t row = 0;
    bool inverted = false;
    bool on = false;
    bool known = false;
    double since_s = 0.0;
  };
  void take(const std::string& name, std::size_t signal);
  void require_whole() const;

  std::string file_;
  std::vector<Pin> pins_;
  std::vector<bench::PlayedRow> rows_;
};

}  // namespace sim::score
