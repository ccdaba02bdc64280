#include "sim/measure/placement.h"

#include <algorithm>
#include <cmath>

#include "shared/check.h"
#include "sim/statistics/spread.h"

namespace sim::measure {
namespace {

// A seed or a band on the line, for searches by place.
struct Place {
  double x_ground_m = 0.0;
  int index = 0;
};

using Places = std::vector<Place>;

std::size_t at(int index) { return static_cast<std::size_t>(index); }

void sort_by_place(Places& places) {
  std::sort(places.begin(), places.end(), [](const Place& a, const Place& b) {
    return a.x_ground_m != b.x_ground_m ? a.x_ground_m < b.x_ground_m : a.index < b.index;
  });
}

Places seeds_by_place(const RowRecord& row) {
  Places places;
  for (std::size_t i = 0; i < row.seeds.size(); ++i)
    if (std::isfinite(row.seeds[i].rest_x_ground_m))
      places.push_back({row.seeds[i].rest_x_ground_m, static_cast<int>(i)});
  sort_by_place(places);
  return places;
}

Places bands_by_centre(const RowRecord& row) {
  Places places;
  for (std::size_t i = 0; i < row.bands.size(); ++i)
    if (std::isfinite(row.bands[i].centre_x_ground_m))
      places.push_back({row.bands[i].centre_x_ground_m, static_cast<int>(i)});
  sort_by_place(places);
  return places;
}

std::ptrdiff_t first_not_behind(const Places& places, double x_ground_m) {
  return std::lower_bound(places.begin(), places.end(), x_ground_m,
                          [](const Place& p, double x_m) { return p.x_ground_m < x_m; }) -
         places.begin();
}

// Position in the sorted list of the nearest place that `eligible` admits and that lies within
// `reach`; -1 if there is none. Walks outward from x, so near places cost almost nothing.
template <typename Eligible>
std::ptrdiff_t nearest_position(const Places& places, double x_ground_m, double reach_m,
                                Eligible eligible) {
  const auto count = static_cast<std::ptrdiff_t>(places.size());
  const auto x_at = [&](std::ptrdiff_t i) {
    return places[static_cast<std::size_t>(i)].x_ground_m;
  };
  const auto admits = [&](std::ptrdiff_t i) {
    return eligible(places[static_cast<std::size_t>(i)].index);
  };
  const std::ptrdiff_t from = first_not_behind(places, x_ground_m);
  std::ptrdiff_t ahead = from;
  while (ahead < count && x_at(ahead) - x_ground_m <= reach_m && !admits(ahead)) ++ahead;
  std::ptrdiff_t behind = from - 1;
  while (behind >= 0 && x_ground_m - x_at(behind) <= reach_m && !admits(behind)) --behind;
  const bool has_ahead = ahead < count && x_at(ahead) - x_ground_m <= reach_m;
  const bool has_behind = behind >= 0 && x_ground_m - x_at(behind) <= reach_m;
  if (!has_ahead && !has_behind) return -1;
  if (!has_behind) return ahead;
  if (!has_ahead) return behind;
  return x_ground_m - x_at(behind) <= x_at(ahead) - x_ground_m ? behind : ahead;
}

bool any(int) { return true; }

class Matching {
 public:
  Matching(RowRecord& row, const PlacementRules& rules)
      : row_(row),
        rules_(rules),
        reach_m_(0.5 * rules.theoretical_spacing_m),
        seeds_(seeds_by_place(row)),
        bands_(bands_by_centre(row)),
        position_(row.seeds.size(), -1),
        band_of_(row.seeds.size(), -1),
        seed_of_(row.bands.size(), -1),
        stretch_of_(row.seeds.size(), -1) {
    for (std::size_t i = 0; i < seeds_.size(); ++i)
      position_[at(seeds_[i].index)] = static_cast<std::ptrdiff_t>(i);
  }

  void run() {
    forget();
    pair_mutual_nearest();
    for (const Place& band : bands_) merge_if_it_serves_several(band.index);
    const double surplus_s = on_time_surplus_s();
    for (BandRecord& band : row_.bands)
      if (band.merged) band.merge_lawful = lawful(band, surplus_s);
    give_status();
  }

 private:
  void forget() {
    for (SeedRecord& seed : row_.seeds) {
      seed.status = SeedStatus::kNoBand;
      seed.band = -1;
      seed.placement_error_m = statistics::kNone_ratio;
      seed.on_target_ratio = statistics::kNone_ratio;
    }
    for (BandRecord& band : row_.bands) {
      band.stray = false;
      band.merged = false;
      band.first_seed = band.last_seed = -1;
      band.merge_lawful = true;
    }
  }

  void pair_mutual_nearest() {
    for (const Place& band : bands_) {
      const std::ptrdiff_t seed = nearest_position(seeds_, band.x_ground_m, reach_m_, any);
      if (seed < 0) continue;
      const Place& near_seed = seeds_[static_cast<std::size_t>(seed)];
      const std::ptrdiff_t back = nearest_position(bands_, near_seed.x_ground_m, reach_m_, any);
      if (back < 0 || bands_[static_cast<std::size_t>(back)].index != band.index) continue;
      band_of_[at(near_seed.index)] = band.index;
      seed_of_[at(band.index)] = near_seed.index;
    }
  }

  // The ends of a stretch show which seeds it serves: an even band that serves the seeds i..j
  // reaches from x_i - B/2 to x_j + B/2. Each end picks its seed by itself; so a band of ordinary
  // length beside an unserved neighbour stays one band, and the neighbour is not counted as served.
  void merge_if_it_serves_several(int band_index) {
    BandRecord& band = row_.bands[at(band_index)];
    const double half_m = 0.5 * rules_.band_length_m;
    const double first_x_m = band.start_x_ground_m + half_m;
    const double last_x_m = band.end_x_ground_m - half_m;
    if (!(last_x_m > first_x_m)) return;  // no longer than one band, or no shape
    const auto may_join = [&](int seed) {
      const int owner = band_of_[at(seed)];
      return row_.seeds[at(seed)].sensed && stretch_of_[at(seed)] < 0 &&
             (owner < 0 || owner == band_index);
    };
    const std::ptrdiff_t first = nearest_position(seeds_, first_x_m, reach_m_, may_join);
    const std::ptrdiff_t last = nearest_position(seeds_, last_x_m, reach_m_, may_join);
    if (first < 0 || last < 0 || first >= last) return;
    band.merged = true;
    band.first_seed = seeds_[static_cast<std::size_t>(first)].index;
    band.last_seed = seeds_[static_cast<std::size_t>(last)].index;
    const int alone = seed_of_[at(band_index)];
    if (alone >= 0) band_of_[at(alone)] = -1;
    seed_of_[at(band_index)] = -1;
    for (std::ptrdiff_t i = first; i <= last; ++i) {
      const int seed = seeds_[static_cast<std::size_t>(i)].index;
      if (may_join(seed)) stretch_of_[at(seed)] = band_index;
    }
  }

  // Ground speed around a seed, from some seeds before and after it: edges are true instants and
  // rest places differ from those at the sensor only by scatter, which five spacings each side
  // make small against the way.
  double speed_around_mps(std::ptrdiff_t position) const {
    constexpr std::ptrdiff_t kNeighbours = 5;
    const auto most = static_cast<std::ptrdiff_t>(seeds_.size()) - 1;
    const Place& a =
        seeds_[static_cast<std::size_t>(std::max<std::ptrdiff_t>(0, position - kNeighbours))];
    const Place& b = seeds_[static_cast<std::size_t>(std::min(most, position + kNeighbours))];
    const double way_m = b.x_ground_m - a.x_ground_m;
    return way_m / (row_.seeds[at(b.index)].edge_s - row_.seeds[at(a.index)].edge_s);
  }

  // T_on - B/v = T_lead - T_lag, as the row's single bands show it.
  double on_time_surplus_s() const {
    std::vector<double> surplus_s;
    for (std::size_t i = 0; i < row_.bands.size(); ++i) {
      if (seed_of_[i] < 0) continue;
      const double v_mps = speed_around_mps(position_[at(seed_of_[i])]);
      const double on_s = row_.bands[i].close_s - row_.bands[i].open_s;
      const double s = on_s - rules_.band_length_m / v_mps;
      if (v_mps > 0.0 && std::isfinite(s)) surplus_s.push_back(s);
    }
    return surplus_s.empty() ? 0.0 : statistics::upper_median_of(std::move(surplus_s));
  }

  bool lawful(const BandRecord& band, double surplus_s) const {
    const double slack_s = 3.0 * std::sqrt(2.0) * rules_.edge_jitter_s;
    const int band_index = static_cast<int>(&band - row_.bands.data());
    std::ptrdiff_t before = position_[at(band.first_seed)];
    for (std::ptrdiff_t i = before + 1; i <= position_[at(band.last_seed)]; ++i) {
      const Place& now = seeds_[static_cast<std::size_t>(i)];
      if (stretch_of_[at(now.index)] != band_index) continue;
      const Place& then = seeds_[static_cast<std::size_t>(before)];
      before = i;
      if (now.x_ground_m - then.x_ground_m <= rules_.band_length_m) continue;  // they overlap
      const double apart_s =
          std::fabs(row_.seeds[at(now.index)].edge_s - row_.seeds[at(then.index)].edge_s);
      const double closed_s = apart_s - rules_.band_length_m / speed_around_mps(i) - surplus_s;
      if (!(closed_s < row_.shortest_closed_s + slack_s)) return false;
    }
    return true;
  }

  void give_status() {
    for (std::size_t i = 0; i < row_.seeds.size(); ++i) {
      SeedRecord& seed = row_.seeds[i];
      const int index = static_cast<int>(i);
      if (stretch_of_[i] >= 0) {
        seed.status = SeedStatus::kMerged;
        seed.band = stretch_of_[i];
      } else if (band_of_[i] >= 0) {
        const BandRecord& band = row_.bands[at(band_of_[i])];
        seed.band = band_of_[i];
        seed.placement_error_m = band.centre_x_ground_m - seed.rest_x_ground_m;
        if (band.nearest_seed == index) seed.on_target_ratio = band.on_target_ratio;
        const bool weak = band.dose_m3 < 0.5 * commanded_dose_m3(band, rules_);
        seed.status = weak ? SeedStatus::kWeak : SeedStatus::kBanded;
      } else if (!seed.sensed) {
        seed.status = SeedStatus::kEdgeMissed;
      }
    }
    for (std::size_t i = 0; i < row_.bands.size(); ++i)
      row_.bands[i].stray = seed_of_[i] < 0 && !row_.bands[i].merged;
    share_with_neighbours();
  }

  // Bands in order of their start; `furthest` runs along as the largest end so far, so a seed lies
  // within some band exactly when that end is not behind it.
  void share_with_neighbours() {
    Places starts;
    for (const Place& band : bands_)
      if (!row_.bands[at(band.index)].stray)
        starts.push_back({row_.bands[at(band.index)].start_x_ground_m, band.index});
    sort_by_place(starts);
    std::size_t next = 0;
    double furthest_m = -std::numeric_limits<double>::infinity();
    for (const Place& place : seeds_) {
      for (; next < starts.size() && starts[next].x_ground_m <= place.x_ground_m; ++next)
        furthest_m = std::max(furthest_m, row_.bands[at(starts[next].index)].end_x_ground_m);
      SeedRecord& seed = row_.seeds[at(place.index)];
      const bool without = seed.band < 0;
      if (without && place.x_ground_m <= furthest_m) seed.status = SeedStatus::kShared;
    }
  }

  RowRecord& row_;
  const PlacementRules& rules_;
  const double reach_m_;
  const Places seeds_;
  const Places bands_;
  std::vector<std::ptrdiff_t> position_;  // by seed: in order of rest place
  std::vector<int> band_of_;              // by seed: its own band
  std::vector<int> seed_of_;              // by band: its own seed
  std::vector<int> stretch_of_;           // by seed: the merged band it is a member of
};

double covered_in_ratio(const RowRecord& row, const BandRecord& band, int seed) {
  for (int i = 0; i < band.covered_count; ++i) {
    const CoveredSeed& covered = row.covered[at(band.first_covered + i)];
    if (covered.seed == seed) return covered.covered_ratio;
  }
  return 0.0;
}

}  // namespace

void match_bands(RowRecord& row, const PlacementRules& rules) {
  EXPECTS(rules.theoretical_spacing_m > 0.0 && rules.band_length_m > 0.0);
  Matching(row, rules).run();
}

EndMisses stretch_end_misses(const RowRecord& row, const BandRecord& band, double band_length_m) {
  EXPECTS(band.merged && band.first_seed >= 0 && band.last_seed >= 0);
  const double half_m = 0.5 * band_length_m;
  return {band.start_x_ground_m - (row.seeds[at(band.first_seed)].rest_x_ground_m - half_m),
          band.end_x_ground_m - (row.seeds[at(band.last_seed)].rest_x_ground_m + half_m)};
}

bool within_tolerance(const RowRecord& row, int seed, double tolerance_m,
                      const PlacementRules& rules) {
  EXPECTS(seed >= 0 && at(seed) < row.seeds.size());
  const SeedRecord& record = row.seeds[at(seed)];
  if (record.status == SeedStatus::kBanded || record.status == SeedStatus::kWeak)
    return std::fabs(record.placement_error_m) <= tolerance_m;
  if (record.status != SeedStatus::kMerged) return false;
  const BandRecord& band = row.bands[at(record.band)];
  if (!band.merge_lawful) return false;
  if (covered_in_ratio(row, band, seed) < rules.covered_floor_ratio) return false;
  const EndMisses misses = stretch_end_misses(row, band, rules.band_length_m);
  return std::fabs(misses.start_m) <= tolerance_m && std::fabs(misses.end_m) <= tolerance_m;
}

}  // namespace sim::measure
