#include "sim/bench/ground.h"

#include <algorithm>
#include <cmath>
#include <numeric>

#include "sim/bench/seed_way.h"

namespace sim::bench {
namespace {

constexpr double kSecondaryBelow_ratio = 0.05;
constexpr double kCoverCell_m = 1e-3;
/// A place counts as covered where the line density is at least half the wanted one.
constexpr double kCoverFloor_ratio = 0.5;

}  // namespace

Ground::Ground(const GroundRules& rules, const SeedWay& way, measure::RowRecord& record)
    : rules_(rules), way_(way), record_(record) {
  seeds_changed();
  if (rules_.density_length_m > 0.0) {
    record_.density.from_x_ground_m = rules_.density_from_x_m;
    record_.density.cell_m = kCoverCell_m;
    record_.density.volume_m3pm.assign(
        static_cast<std::size_t>(rules_.density_length_m / kCoverCell_m), 0.0);
  }
  parcels_.reserve(4096);
}

void Ground::seeds_changed() {
  seeds_by_rest_.resize(way_.seeds.size());
  std::iota(seeds_by_rest_.begin(), seeds_by_rest_.end(), 0);
  std::stable_sort(seeds_by_rest_.begin(), seeds_by_rest_.end(), [&](int a, int b) {
    return way_.seeds[static_cast<std::size_t>(a)].rest_x_ground_m <
           way_.seeds[static_cast<std::size_t>(b)].rest_x_ground_m;
  });
}

void Ground::work_goes_on(bool first) {
  if (!first) record_.worked_volume_m3 += ahead_of_work_m3_;
  ahead_of_work_m3_ = 0.0;
}

double Ground::open_from_s(double now_s) const {
  if (rules_.continuous) return now_s;
  if (has_owner_) return owner_.on_s;
  return pulses_.empty() ? now_s : pulses_.front().on_s;
}

double Ground::resting_since_s() const {
  return has_owner_ && pulses_.empty() ? owner_.off_s : statistics::kNone_ratio;
}

void Ground::close_early() {
  close_band();
  has_owner_ = false;
}

void Ground::valve_commanded_on(double time_s, double steady_flow_m3ps, double set_ratio) {
  pulses_.push_back({.on_s = time_s, .steady_flow_m3ps = steady_flow_m3ps, .set_ratio = set_ratio});
}

void Ground::valve_commanded_off(double time_s) {
  Pulse& pulse = pulses_.empty() ? owner_ : pulses_.back();
  pulse.off_s = time_s;
}

void Ground::take(double time_s, double volume_m3, double flow_m3ps, double jet_speed_mps,
                  double x_ground_m) {
  while (!pulses_.empty() && time_s >= pulses_.front().on_s + rules_.owned_after_s) {
    close_band();
    owner_ = pulses_.front();
    pulses_.erase(pulses_.begin());
    has_owner_ = true;
    below_five_percent_ = false;
  }
  if (has_owner_ && !below_five_percent_ && !(time_s < owner_.off_s) && !std::isnan(owner_.off_s))
    below_five_percent_ = flow_m3ps < kSecondaryBelow_ratio * owner_.steady_flow_m3ps;
  if (volume_m3 <= 0.0) return;
  record_.applied_volume_m3 += volume_m3;
  if (x_ground_m >= record_.work_start_x_m && x_ground_m <= record_.work_end_x_m)
    record_.worked_volume_m3 += volume_m3;
  else if (x_ground_m > record_.work_end_x_m)
    ahead_of_work_m3_ += volume_m3;
  record_.jet_speed_sum_mps += jet_speed_mps * volume_m3;
  record_.jet_speed_max_mps = std::max(record_.jet_speed_max_mps, jet_speed_mps);
  auto& density = record_.density;
  const double cell = std::floor((x_ground_m - density.from_x_ground_m) / kCoverCell_m);
  if (cell >= 0.0 && cell < static_cast<double>(density.volume_m3pm.size()))
    density.volume_m3pm[static_cast<std::size_t>(cell)] += volume_m3 / kCoverCell_m;
  if (rules_.continuous) return;
  parcels_.push_back({.x_ground_m = x_ground_m,
                      .volume_m3 = volume_m3,
                      .dribble = jet_speed_mps < rules_.dribble_mps,
                      .secondary = below_five_percent_});
  if (parcels_.size() > kParcelsMost) thin();
}

void Ground::thin() {
  std::vector<model::Parcel> thinned;
  thinned.reserve(parcels_.size() / 2 + 1);
  for (std::size_t k = 0; k < parcels_.size(); ++k) {
    model::Parcel joined = parcels_[k];
    if (k + 1 < parcels_.size() && parcels_[k + 1].dribble == joined.dribble &&
        parcels_[k + 1].secondary == joined.secondary) {
      const model::Parcel& next = parcels_[++k];
      const double volume_m3 = joined.volume_m3 + next.volume_m3;
      joined.x_ground_m += (next.x_ground_m - joined.x_ground_m) * (next.volume_m3 / volume_m3);
      joined.volume_m3 = volume_m3;
    }
    thinned.push_back(joined);
  }
  parcels_ = std::move(thinned);
}

void Ground::finish() { close_early(); }

void Ground::close_band() {
  if (has_owner_ || !parcels_.empty()) {
    measure::BandRecord band;
    band.open_s = owner_.on_s;
    band.close_s = owner_.off_s;
    band.set_ratio = owner_.set_ratio;
    model::BandShape shape = model::band_shape(parcels_);
    measure(shape, band);
    // what leaves before the first pulse belongs to none; it still counts as applied and as outside
    if (has_owner_) record_.bands.push_back(band);
  }
  parcels_.clear();
}

void Ground::measure(model::BandShape& shape, measure::BandRecord& band) {
  const double half_m = 0.5 * rules_.band_length_m;
  const auto rest_m = [&](int seed) {
    return way_.seeds[static_cast<std::size_t>(seed)].rest_x_ground_m;
  };
  band.dose_m3 = shape.dose_m3;
  band.secondary_ratio = shape.secondary_ratio;

  // outside the union of all wanted bands: parcels and seeds are both sorted, one walk serves both
  const std::vector<double>& rests_m = way_.rest_sorted_m;
  auto at = parcels_.empty()
                ? rests_m.end()
                : std::lower_bound(rests_m.begin(), rests_m.end(), parcels_[0].x_ground_m - half_m);
  for (const model::Parcel& parcel : parcels_) {
    while (at != rests_m.end() && *at < parcel.x_ground_m - half_m) ++at;
    if (at == rests_m.end() || *at > parcel.x_ground_m + half_m)
      record_.outside_volume_m3 += parcel.volume_m3;
  }
  if (!(shape.shaped_m3 > 0.0)) return;
  band.start_x_ground_m = shape.start_x_ground_m;
  band.end_x_ground_m = shape.end_x_ground_m;
  band.centre_x_ground_m = shape.centre_x_ground_m;

  const auto first_after = [&](double x_m) {
    return std::lower_bound(seeds_by_rest_.begin(), seeds_by_rest_.end(), x_m,
                            [&](int seed, double x) { return rest_m(seed) < x; });
  };
  const auto right = first_after(shape.centre_x_ground_m);
  if (right != seeds_by_rest_.end()) band.nearest_seed = *right;
  if (right != seeds_by_rest_.begin()) {
    const int left = *(right - 1);
    if (band.nearest_seed < 0 || shape.centre_x_ground_m - rest_m(left) <=
                                     rest_m(band.nearest_seed) - shape.centre_x_ground_m)
      band.nearest_seed = left;
  }
  if (band.nearest_seed >= 0)
    band.on_target_ratio = model::volume_within_ratio(parcels_, rest_m(band.nearest_seed) - half_m,
                                                      rest_m(band.nearest_seed) + half_m);

  const auto from = first_after(shape.start_x_ground_m - half_m);
  const auto to = first_after(shape.end_x_ground_m + half_m);
  if (to - from < 2) return;
  band.first_covered = static_cast<int>(record_.covered.size());
  band.covered_count = static_cast<int>(to - from);
  const double floor_m3pm =
      kCoverFloor_ratio * band.set_ratio * rules_.commanded_dose_m3 / rules_.band_length_m;
  for (auto seed = from; seed != to; ++seed)
    record_.covered.push_back(
        {*seed, model::covered_ratio(parcels_, rest_m(*seed) - half_m, rest_m(*seed) + half_m,
                                     kCoverCell_m, floor_m3pm)});
}

}  // namespace sim::bench
