// A pass whose recording comes in parts: it runs no further than the recording is known, looks at
// what it has finished, and lets go of it.
#include <algorithm>

#include "sim/bench/played.h"
#include "sim/bench/running_pass.h"

namespace sim::bench {
namespace {

constexpr double kAround_m = 3.0;
constexpr double kAround_spacings = 12.0;  // tidy: unit is spacings
/// An edge is a seed's: it has to be known before the seed's band is measured.
constexpr double kAhead_s = 2.0;
/// So much is read at once.
constexpr double kPart_s = 10.0;

}  // namespace

double met_around_m(const scenario::Scenario& scenario) {
  return kAround_m + kAround_spacings * scenario.seeding.meter.spacing_m;
}

/// The first slot that may meet a seed whose edge rises after `known_s`, not before `runnable`.
std::int64_t RunningPass::slot_short_of_edges(double known_s) const {
  const auto x_m = [&](double at_s) { return model::row_motion_at(travel_, 0.0, at_s).x_ground_m; };
  const double known_x_m = x_m(known_s) - met_around_m(scenario_);
  std::int64_t slot = fed_.runnable;
  for (;; ++slot) {
    const double end_s = (shared::Instant{} + kSlot * (slot + 1)).seconds();
    if (end_s > known_s - kAhead_s || x_m(end_s) > known_x_m) return slot;
  }
}

void RunningPass::read_on() {
  std::vector<RowStretch> stretches;
  const double edges_x_m = model::row_motion_at(travel_, 0.0, fed_.known_s).x_ground_m +
                           scenario_.drop_x_unit_m - met_around_m(scenario_);
  for (const auto& row : rows_) stretches.push_back(row->stretch(travel_, edges_x_m));
  const std::vector<double> behind_m = options_.feed->needed_from_m(stretches);
  for (std::size_t row = 0; row < rows_.size(); ++row) rows_[row]->let_go(behind_m[row]);
  while (!fed_.ended) {
    const PlayedFeed::More more = options_.feed->read_on(fed_.known_s + kPart_s);
    for (std::size_t row = 0; row < rows_.size(); ++row) rows_[row]->play_on(more.rows[row]);
    fed_.known_s = more.known_s;
    fed_.ended = more.ended;
    const std::int64_t before = fed_.runnable;
    fed_.runnable = slot_short_of_edges(fed_.known_s);
    if (!fed_.ended && fed_.runnable > before) return;  // else the machine stands
  }
  end_s_ = fed_.known_s;
  for (const auto& row : rows_) end_s_ = std::max(end_s_, row->way().last_rest_s);
  end_s_ += kPassRunOut_s;
  while ((shared::Instant{} + kSlot * slots_).seconds() < end_s_) ++slots_;
}

/// The slot up to which the pass may run now that it has run all before `slot`.
std::int64_t RunningPass::come_by(std::int64_t slot) {
  while (!fed_.ended && slot >= fed_.runnable) read_on();
  return fed_.ended ? slots_ : fed_.runnable;
}

}  // namespace sim::bench
