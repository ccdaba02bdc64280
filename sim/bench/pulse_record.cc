#include "sim/bench/pulse_record.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <utility>

#include "shared/check.h"

namespace sim::bench {
namespace {

constexpr double kNever_s = std::numeric_limits<double>::quiet_NaN();

RecordedPulse fresh() {
  return {.half_up_s = kNever_s, .half_down_s = kNever_s, .least_lift_after_m = HUGE_VAL};
}

/// The place behind which the given share of the mass without dribble lies; parcels must be sorted
/// by place.
double mass_quantile_m(const std::vector<model::Parcel>& parcels, double share_ratio) {
  double total_m3 = 0.0;
  for (const model::Parcel& parcel : parcels)
    if (!parcel.dribble) total_m3 += parcel.volume_m3;
  double before_m3 = 0.0;
  for (const model::Parcel& parcel : parcels) {
    if (parcel.dribble) continue;
    before_m3 += parcel.volume_m3;
    if (before_m3 >= share_ratio * total_m3) return parcel.x_ground_m;
  }
  return kNever_s;
}

}  // namespace

PulseRecord::PulseRecord(std::vector<PulseCommand> commands, const PulseGround& ground)
    : commands_(std::move(commands)),
      ground_(ground),
      direction_(model::direction_of(ground.jet)),
      now_(fresh()) {
  for (std::size_t k = 1; k < commands_.size(); ++k)
    EXPECTS(commands_[k].on_s > commands_[k - 1].on_s);
}

void PulseRecord::close() {
  const double on_x_m = ground_.speed_mps * commands_[pulses_.size()].on_s;
  double volume_m3 = 0.0;
  for (const model::Parcel& parcel : parcels_) volume_m3 += parcel.volume_m3;
  now_.band = model::band_shape(parcels_);  // sorts them
  now_.band.start_x_ground_m -= on_x_m;
  now_.band.end_x_ground_m -= on_x_m;
  now_.band.centre_x_ground_m -= on_x_m;
  now_.x05_m = mass_quantile_m(parcels_, 0.05) - on_x_m;
  now_.x95_m = mass_quantile_m(parcels_, 0.95) - on_x_m;
  now_.jet_speed_mps = volume_m3 > 0.0 ? speed_sum_ / volume_m3 : 0.0;
  pulses_.push_back(now_);
  now_ = fresh();
  parcels_.clear();
  speed_sum_ = 0.0;
  below_five_percent_ = false;
}

// The mean flow of a step applies at the middle of the step, with straight lines in between.
void PulseRecord::watch_half(double from_s, double to_s, double flow_m3ps) {
  const double middle_s = 0.5 * (from_s + to_s);
  const double half_m3ps = 0.5 * ground_.steady_m3ps;
  const PulseCommand& command = commands_[pulses_.size()];
  const auto crossing_s = [&] {
    return last_s_ +
           (middle_s - last_s_) * (half_m3ps - last_flow_m3ps_) / (flow_m3ps - last_flow_m3ps_);
  };
  const bool up = last_flow_m3ps_ < half_m3ps && flow_m3ps >= half_m3ps;
  const bool down = last_flow_m3ps_ >= half_m3ps && flow_m3ps < half_m3ps;
  if (up && std::isnan(now_.half_up_s) && middle_s > command.on_s) now_.half_up_s = crossing_s();
  if (down && middle_s > command.off_s) {
    now_.half_down_s = crossing_s();
    ++now_.half_falls;
  }
  last_s_ = middle_s;
  last_flow_m3ps_ = flow_m3ps;
}

void PulseRecord::take(double from_s, double to_s, const model::RowStepOutput& out) {
  if (pulses_.size() + 1 < commands_.size() &&
      to_s >= commands_[pulses_.size() + 1].on_s + ground_.owned_after_s)
    close();
  const double off_s = commands_[pulses_.size()].off_s;
  if (to_s > off_s && out.outlet_flow_m3ps < 0.05 * ground_.steady_m3ps) below_five_percent_ = true;
  watch_half(from_s, to_s, out.outlet_flow_m3ps);
  now_.largest_lift_m = std::max(now_.largest_lift_m, out.lift_m);
  if (from_s > off_s) now_.least_lift_after_m = std::min(now_.least_lift_after_m, out.lift_m);
  if (out.jet_volume_m3 <= 0.0) return;
  const double outlet_x_m = ground_.speed_mps * (from_s + 0.5 * (to_s - from_s));
  parcels_.push_back(
      {.x_ground_m = outlet_x_m + model::jet_reach_m(out.jet_speed_mps, ground_.speed_mps,
                                                     ground_.jet, direction_),
       .volume_m3 = out.jet_volume_m3,
       .dribble = out.jet_speed_mps < ground_.dribble_mps,
       .secondary = below_five_percent_});
  speed_sum_ += out.jet_speed_mps * out.jet_volume_m3;
}

std::vector<RecordedPulse> PulseRecord::finish() {
  if (!commands_.empty()) close();
  return std::move(pulses_);
}

}  // namespace sim::bench
