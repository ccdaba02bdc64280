// Histories from steps: the values of a rig's steps, interpolated at the instants that were asked
// for.
//
// Errors   none        State   the last step's values; instants must rise
// Checked  tests/sim/study/rig/rig_test.cc
#pragma once

#include <array>
#include <vector>

#include "model/row/row_unit.h"
#include "sim/study/rig/rig.h"

namespace sim::rig {

class RigRecorder {
 public:
  /// `before` is the state before t = 0 and gives the first values of every history.
  RigRecorder(const RigRecord& record, double duration_s, const model::RowStepOutput& before,
              double middle_pa, bool with_middle);
  void take(double from_s, double to_s, const model::RowStepOutput& out, double middle_pa);
  bool done() const { return next_ >= instants_s_.size(); }
  RigSeries finish() { return std::move(series_); }

 private:
  struct Sample {
    double middle_s = 0.0;           // middle of the step: its means belong here
    double end_s = 0.0;              // end of the step: its states belong here
    std::array<double, 5> means{};   // tidy: unit is Pa or m3/s: both ends, midway
    std::array<double, 4> states{};  // tidy: unit is m, A, m3: lift, current, cavity, void
  };
  static Sample sample_of(double from_s, double to_s, const model::RowStepOutput& out,
                          double middle_pa);
  void put(double time_s, const Sample& after);

  std::vector<double> instants_s_;
  std::size_t next_ = 0;
  Sample before_;
  Sample last_;
  bool with_middle_;
  RigSeries series_;
};

}  // namespace sim::rig
