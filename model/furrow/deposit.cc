#include "model/furrow/deposit.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <limits>

#include "shared/check.h"

namespace model {
namespace {

// A total order on what a parcel is: two parcels that tie are the same in every field, so the
// sorted sequence is unique and no choice of algorithm or library can change a result.
bool lies_before(const Parcel& a, const Parcel& b) {
  if (a.x_ground_m != b.x_ground_m) return a.x_ground_m < b.x_ground_m;
  if (a.volume_m3 != b.volume_m3) return a.volume_m3 < b.volume_m3;
  if (a.dribble != b.dribble) return b.dribble;
  return !a.secondary && b.secondary;
}

// No pulse of ours leaves more runs or a longer overlap than this; there the general sort takes
// over with the same outcome.
constexpr std::size_t kMostRuns = 64;
constexpr std::size_t kMergeRoom = 1024;

// Merges the sorted neighbours [first, middle) and [middle, last). What already stands in place at
// either end is left alone, and the left part that must move is set aside. Returns false, with
// nothing moved, when that part is larger than the room.
bool merge_neighbours(Parcel* first, Parcel* middle, Parcel* last,
                      std::array<Parcel, kMergeRoom>& room) {
  first = std::upper_bound(first, middle, *middle, lies_before);
  if (first == middle) return true;
  last = std::lower_bound(middle, last, *(middle - 1), lies_before);
  const auto aside = static_cast<std::size_t>(middle - first);
  if (aside > kMergeRoom) return false;
  Parcel* left = room.data();
  Parcel* const left_end = std::copy(first, middle, left);
  Parcel* right = middle;
  Parcel* out = first;
  while (left != left_end && right != last)
    *out++ = lies_before(*right, *left) ? *right++ : *left++;
  std::copy(left, left_end, out);
  return true;
}

// A pulse leaves few runs: the rise throws later parcels behind earlier ones, and the steady part
// is in order already. So runs are found (falling ones reversed) and neighbours merged, with no
// heap: about n steps, not n log n.
void sort_by_place(std::span<Parcel> parcels) {
  std::array<std::size_t, kMostRuns + 1> starts;
  std::size_t runs = 0;
  const std::size_t count = parcels.size();
  for (std::size_t at = 0; at < count; ++runs) {
    if (runs == kMostRuns) return std::sort(parcels.begin(), parcels.end(), lies_before);
    starts[runs] = at;
    std::size_t end = at + 1;
    if (end < count && lies_before(parcels[end], parcels[end - 1])) {
      while (end < count && lies_before(parcels[end], parcels[end - 1])) ++end;
      std::reverse(parcels.data() + at, parcels.data() + end);
    } else {
      while (end < count && !lies_before(parcels[end], parcels[end - 1])) ++end;
    }
    at = end;
  }
  if (runs < 2) return;
  starts[runs] = count;
  std::array<Parcel, kMergeRoom> room;
  while (runs > 1) {
    std::size_t merged = 0;
    for (std::size_t run = 0; run < runs; run += 2) {
      if (run + 1 < runs &&
          !merge_neighbours(parcels.data() + starts[run], parcels.data() + starts[run + 1],
                            parcels.data() + starts[run + 2], room)) {
        return std::sort(parcels.begin(), parcels.end(), lies_before);
      }
      starts[merged++] = starts[run];
    }
    starts[merged] = count;
    runs = merged;
  }
}

bool shapes_the_band(const Parcel& parcel) { return !parcel.dribble && parcel.volume_m3 > 0.0; }

// Place below which the given volume of shaped liquid lies. Each parcel stands at the middle of its
// own share of the cumulated volume; between two middles the place is linear, beyond the outer ones
// it is the outer parcel's.
double place_at_volume_m(std::span<const Parcel> sorted, double wanted_m3) {
  double below_m3 = 0.0;
  double last_middle_m3 = 0.0;
  const Parcel* last = nullptr;
  for (const Parcel& parcel : sorted) {
    if (!shapes_the_band(parcel)) continue;
    const double middle_m3 = below_m3 + 0.5 * parcel.volume_m3;
    if (middle_m3 >= wanted_m3) {
      if (last == nullptr) return parcel.x_ground_m;
      const double share_ratio = (wanted_m3 - last_middle_m3) / (middle_m3 - last_middle_m3);
      return last->x_ground_m + share_ratio * (parcel.x_ground_m - last->x_ground_m);
    }
    below_m3 += parcel.volume_m3;
    last_middle_m3 = middle_m3;
    last = &parcel;
  }
  return last == nullptr ? std::numeric_limits<double>::quiet_NaN() : last->x_ground_m;
}

}  // namespace

BandShape band_shape(std::span<Parcel> parcels) {
  for (const Parcel& parcel : parcels)
    EXPECTS(std::isfinite(parcel.x_ground_m) && parcel.volume_m3 >= 0.0);
  sort_by_place(parcels);
  BandShape shape;
  double secondary_m3 = 0.0;
  double moment_m4 = 0.0;
  // Places are counted from the first parcel: far down the field the moments would otherwise lose
  // digits.
  const double origin_m = parcels.empty() ? 0.0 : parcels.front().x_ground_m;
  for (const Parcel& parcel : parcels) {
    shape.dose_m3 += parcel.volume_m3;
    if (parcel.secondary) secondary_m3 += parcel.volume_m3;
    if (!shapes_the_band(parcel)) continue;
    shape.shaped_m3 += parcel.volume_m3;
    moment_m4 += parcel.volume_m3 * (parcel.x_ground_m - origin_m);
  }
  if (shape.dose_m3 > 0.0) shape.secondary_ratio = secondary_m3 / shape.dose_m3;
  if (!(shape.shaped_m3 > 0.0)) {
    constexpr double kNowhere_m = std::numeric_limits<double>::quiet_NaN();
    shape.start_x_ground_m = shape.end_x_ground_m = shape.centre_x_ground_m = kNowhere_m;
    return shape;
  }
  const double quarter_m = place_at_volume_m(parcels, 0.25 * shape.shaped_m3);
  const double three_quarters_m = place_at_volume_m(parcels, 0.75 * shape.shaped_m3);
  const double half_length_m = three_quarters_m - quarter_m;
  shape.start_x_ground_m = quarter_m - 0.5 * half_length_m;
  shape.end_x_ground_m = three_quarters_m + 0.5 * half_length_m;
  shape.centre_x_ground_m = origin_m + moment_m4 / shape.shaped_m3;
  return shape;
}

double volume_within_ratio(std::span<const Parcel> parcels, double from_x_ground_m,
                           double to_x_ground_m) {
  double inside_m3 = 0.0;
  double all_m3 = 0.0;
  for (const Parcel& parcel : parcels) {
    all_m3 += parcel.volume_m3;
    if (parcel.x_ground_m >= from_x_ground_m && parcel.x_ground_m <= to_x_ground_m)
      inside_m3 += parcel.volume_m3;
  }
  return all_m3 > 0.0 ? inside_m3 / all_m3 : 0.0;
}

double covered_ratio(std::span<const Parcel> parcels, double from_x_ground_m, double to_x_ground_m,
                     double cell_m, double floor_m3pm) {
  EXPECTS(to_x_ground_m > from_x_ground_m && cell_m > 0.0 && floor_m3pm >= 0.0);
  const double length_m = to_x_ground_m - from_x_ground_m;
  // A last cell shorter than a thousandth of a cell is rounding, not ground.
  const auto cells = static_cast<std::size_t>(std::max(1.0, std::ceil(length_m / cell_m - 1e-3)));
  constexpr std::size_t kCellsAtOnce = 256;  // so that any length needs no heap
  double covered_m = 0.0;
  for (std::size_t base = 0; base < cells; base += kCellsAtOnce) {
    const std::size_t here = std::min(kCellsAtOnce, cells - base);
    std::array<double, kCellsAtOnce> volume_m3{};
    for (const Parcel& parcel : parcels) {
      if (parcel.x_ground_m < from_x_ground_m || parcel.x_ground_m > to_x_ground_m) continue;
      const auto cell = std::min(
          static_cast<std::size_t>((parcel.x_ground_m - from_x_ground_m) / cell_m), cells - 1);
      if (cell >= base && cell < base + here) volume_m3[cell - base] += parcel.volume_m3;
    }
    for (std::size_t cell = 0; cell < here; ++cell) {
      const double start_m = static_cast<double>(base + cell) * cell_m;
      const double width_m = base + cell + 1 == cells ? length_m - start_m : cell_m;
      if (volume_m3[cell] >= floor_m3pm * width_m) covered_m += width_m;
    }
  }
  return covered_m / length_m;
}

}  // namespace model
