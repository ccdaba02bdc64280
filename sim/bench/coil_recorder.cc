#include "sim/bench/coil_recorder.h"

namespace sim::bench {

CoilRecorder::CoilRecorder(double step_s, double travel_m, measure::CoilRecord& record)
    : record_(&record), travel_m_(travel_m) {
  record_->step_s = step_s;
}

void CoilRecorder::begin(shared::Instant at) {
  if (record_ == nullptr) return;
  record_->openings.push_back({.command_s = at.seconds()});
  waits_ = true;
  rises_ = false;
}

void CoilRecorder::step(shared::Instant from, shared::Instant to, double from_a, double to_a,
                        double lift_m) {
  if (record_ == nullptr) return;
  if (record_->step_s > 0.0) {
    const double begin_s = from.seconds(), lasts_s = (to - from).seconds();
    for (double at_s = static_cast<double>(samples_) * record_->step_s; at_s < to.seconds();
         at_s = static_cast<double>(++samples_) * record_->step_s)
      record_->current_a.push_back(
          static_cast<float>(from_a + (to_a - from_a) * (at_s - begin_s) / lasts_s));
  }
  if (waits_) {
    if (lift_m < 0.5 * travel_m_) rises_ = true;
    if (rises_ && before_m_ > 0.9 * travel_m_ && lift_m <= before_m_) {
      record_->openings.back().stop_s = from.seconds();
      waits_ = false;
    }
  }
  before_m_ = lift_m;
}

}  // namespace sim::bench
