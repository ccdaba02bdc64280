// Air that follows the liquid into a row once the tank is empty: what enters the hose is air, and
// liquid leaves the outlet only as long as that of hose and tube lasts.
//
// Checked  tests/sim/bench/pass_supply_test.cc
#pragma once

#include "model/row/row_unit.h"
#include "sim/measure/record.h"

namespace sim::bench {

class AirBehind {
 public:
  /// Air has come: the liquid ahead of it is that of both lines, less the void at the outlet.
  void begin(double time_s, const model::RowUnitParams& path, double outlet_void_m3,
             measure::RowRecord& record);
  /// Takes the air out of what a step that began at `time_s` let in and out.
  void leave_out(double time_s, model::RowStepOutput& out, measure::RowRecord& record);
  double in_m3() const { return in_m3_; }
  double out_m3() const { return out_m3_; }

 private:
  double liquid_left_m3_ = 0.0;
  double in_m3_ = 0.0, out_m3_ = 0.0;
};

}  // namespace sim::bench
