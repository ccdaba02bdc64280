// What a row does with a recording that takes the place of its controller.
#include <algorithm>
#include <cmath>

#include "sim/bench/row_bench.h"
#include "sim/measure/let_go.h"

namespace sim::bench {
namespace {

/// So far behind the machine the band of a pulse that is over ends, also if drops still fall.
constexpr double kLeftBehind_m = 10.0;

std::ptrdiff_t signed_of(std::size_t count) { return static_cast<std::ptrdiff_t>(count); }

}  // namespace

/// Hands the recorded commands before `until` to the bridge.
void RowBench::play_until(shared::Instant until) {
  unheard_.clear();
  for (; next_played_ < 2 * drives_.size(); ++next_played_) {
    const DrivenTime& drive = drives_[next_played_ / 2];
    const bool on = next_played_ % 2 == 0;
    const double at_s = on ? drive.on_s : drive.off_s;
    if (std::isinf(at_s)) return;  // the drive stands at the end of what is known
    const shared::Instant at = shared::instant_of(at_s);
    if (at >= until) return;
    bridge_.pending().push_back({at, on ? played_->on : played_->off});
  }
}

/// The way at work reaches half a spacing beyond the seeds that are known.
void RowBench::state_work(bool first) {
  const double half_m = 0.5 * scenario_.seeding.meter.spacing_m;
  if (first) record_.work_start_x_m = way_.rest_sorted_m.front() - half_m;
  record_.work_end_x_m = way_.rest_sorted_m.back() + half_m;
  record_.travelled_m = record_.work_end_x_m - record_.work_start_x_m;
}

void RowBench::play_on(const PlayedPart& more) {
  if (!std::isnan(more.before_off_s) && !drives_.empty() && std::isinf(drives_.back().off_s))
    drives_.back().off_s = more.before_off_s;
  const std::size_t played = next_played_ / 2;  // drives that are over
  drives_.erase(drives_.begin(), drives_.begin() + signed_of(played));
  next_played_ -= 2 * played;
  drives_.insert(drives_.end(), more.drives.begin(), more.drives.end());
  if (more.edges.empty()) return;
  const std::size_t held = way_.seeds.size();
  const bool first = record_.first_seed == 0 && held == 0;
  lay_out_more(scenario_, landing_.travel(), fixed_, stream_, row_, more.edges,
               static_cast<std::uint64_t>(record_.first_seed) + held, way_);
  record_.seeds.insert(record_.seeds.end(), way_.seeds.begin() + signed_of(held), way_.seeds.end());
  state_work(first);
  ground_->work_goes_on(first);
  ground_->seeds_changed();
}

RowStretch RowBench::stretch(const model::Travel& travel, double edges_x_m) {
  const auto x_m = [&](double at_s) {
    return model::row_motion_at(travel, fixed_.y_unit_m, at_s).x_ground_m;
  };
  const double now_s = now_.seconds();
  const double resting_s = ground_->resting_since_s();
  if (!std::isnan(resting_s) && x_m(now_s) > x_m(resting_s) + kLeftBehind_m) ground_->close_early();
  return {
      .record = &record_,
      .final_x_m = std::min(x_m(ground_->open_from_s(now_s)) + scenario_.drop_x_unit_m, edges_x_m)};
}

void RowBench::let_go(double behind_x_m) {
  std::size_t seeds = 0;
  while (seeds < way_.seeds.size() && way_.seeds[seeds].rest_x_ground_m < behind_x_m) ++seeds;
  let_go_of_seeds(way_, seeds);
  measure::let_go(record_, seeds, behind_x_m);
  ground_->seeds_changed();
}

}  // namespace sim::bench
