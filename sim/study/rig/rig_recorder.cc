#include "sim/study/rig/rig_recorder.h"

#include <cmath>

#include "shared/check.h"

namespace sim::rig {
namespace {

double between(  // tidy: unit is the caller's
    double from_s, double from_value, double to_s, double to_value, double at_s) {
  if (!(to_s > from_s)) return to_value;
  return from_value + (to_value - from_value) * (at_s - from_s) / (to_s - from_s);
}

}  // namespace

RigRecorder::Sample RigRecorder::sample_of(double from_s, double to_s,
                                           const model::RowStepOutput& out, double middle_pa) {
  return {.middle_s = 0.5 * (from_s + to_s),
          .end_s = to_s,
          .means = {out.valve_exit_pressure_pa, out.valve_flow_m3ps, out.outlet_pressure_pa,
                    out.outlet_flow_m3ps, middle_pa},
          .states = {out.lift_m, out.current_a, out.valve_cavity_m3, out.outlet_void_m3}};
}

RigRecorder::RigRecorder(const RigRecord& record, double duration_s,
                         const model::RowStepOutput& before, double middle_pa, bool with_middle)
    : before_(sample_of(0.0, 0.0, before, middle_pa)), last_(before_), with_middle_(with_middle) {
  if (!record.at_s.empty()) {
    instants_s_ = record.at_s;
    return;
  }
  const double count_ratio = duration_s / record.every_s;
  EXPECTS(count_ratio <= kMostRigInstants_ratio);  // check_rig refuses more
  for (std::size_t i = 0; static_cast<double>(i) <= count_ratio; ++i)
    instants_s_.push_back(static_cast<double>(i) * record.every_s);
}

void RigRecorder::put(double time_s, const Sample& after) {
  // An instant before the last step's end lies between the states of the two earlier steps, though
  // between the means of the last and the present one.
  const Sample& a = time_s <= last_.end_s ? before_ : last_;
  const Sample& b = time_s <= last_.end_s ? last_ : after;
  std::array<double, 5> mean{};   // tidy: unit is as in the sample
  std::array<double, 4> state{};  // tidy: unit is as in the sample
  for (std::size_t i = 0; i < mean.size(); ++i)
    mean[i] = between(last_.middle_s, last_.means[i], after.middle_s, after.means[i], time_s);
  for (std::size_t i = 0; i < state.size(); ++i)
    state[i] = between(a.end_s, a.states[i], b.end_s, b.states[i], time_s);
  series_.time_s.push_back(time_s);
  series_.inlet_pressure_pa.push_back(mean[0]);
  series_.inlet_flow_m3ps.push_back(mean[1]);
  series_.outlet_pressure_pa.push_back(mean[2]);
  series_.outlet_flow_m3ps.push_back(mean[3]);
  if (with_middle_) series_.middle_pressure_pa.push_back(mean[4]);
  series_.lift_m.push_back(state[0]);
  series_.current_a.push_back(state[1]);
  series_.valve_cavity_m3.push_back(state[2]);
  series_.outlet_void_m3.push_back(state[3]);
}

void RigRecorder::take(double from_s, double to_s, const model::RowStepOutput& out,
                       double middle_pa) {
  const Sample now = sample_of(from_s, to_s, out, middle_pa);
  for (; next_ < instants_s_.size() && instants_s_[next_] <= now.middle_s; ++next_)
    put(instants_s_[next_], now);
  before_ = last_;
  last_ = now;
}

}  // namespace sim::rig
