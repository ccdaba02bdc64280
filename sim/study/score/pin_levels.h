// The levels of a recording's signals, one change after the other, become edges, driven times and
// openings that a coil's current shows.
//
// Errors   InputError as signal_names.h
// Checked  tests/sim/study/score/capture_test.cc
#pragma once

#include <span>
#include <string>
#include <vector>

#include "sim/study/score/capture.h"
#include "sim/study/score/current_dip.h"
#include "sim/study/score/signal_names.h"

namespace sim::score {

class PinLevels {
 public:
  /// `recorded`: the recording's signals, in its own order.
  PinLevels(const std::string& file, std::span<const RecordedSignal> recorded,
            const CaptureWords& words);

  std::size_t rows() const { return rows_.size(); }
  /// The signal with this place in the recording has this level from `at_s` on.
  void level(std::size_t signal, bool high, double at_s);
  bool records_current() const;
  bool is_current(std::size_t signal) const { return pins_[signal].role == Role::kCurrent; }
  /// The signal, if it is a current, is this at `at_s`.
  void sample(std::size_t signal, double current_a, double at_s);
  /// The recording ends; a drive that is still on ends there.
  void finish(double end_s);
  /// What came since the last call. Of an edge whose end has not come yet, the end is that of what
  /// is known.
  std::vector<CapturedRow> take();
  /// Of a recording that has ended: pins that never change, or are 1 for most of the time.
  std::vector<std::string> doubts() const;
  /// Between two samples of a current: the shortest; 0: none was recorded.
  double current_step_s() const;

 private:
  struct Pin : PinUse {
    bool on = false;
    bool known = false;
    bool begun = false;    // it is on since an instant that is known
    double since_s = 0.0;  // the level that it has
    double on_s = 0.0;     // how long it was on, of levels that have ended
    long long rises = 0;
    double last_rise_s = 0.0;
    bool ends_on = false;
  };
  struct Row {
    CapturedRow captured;
    int edges = 0;  // since the recording's beginning
    CurrentDip dip;
  };
  void turn_on(const Pin& pin, double at_s);
  void turn_off(const Pin& pin, double at_s);

  double end_s_ = 0.0;
  std::vector<Pin> pins_;
  std::vector<Row> rows_;
};

}  // namespace sim::score
