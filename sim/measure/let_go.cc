#include "sim/measure/let_go.h"

#include <algorithm>

namespace sim::measure {
namespace {

bool lies_behind(const BandRecord& band, double x_m) {
  return !(band.end_x_ground_m >= x_m) && !(band.centre_x_ground_m >= x_m);
}

/// An index into a list whose first `gone` places are no more; -1 where it was one of them.
int less(int index, std::size_t gone) { return std::max(-1, index - static_cast<int>(gone)); }

}  // namespace

void let_go(RowRecord& row, std::size_t seeds, double behind_x_m) {
  row.first_seed += static_cast<int>(seeds);
  row.seeds.erase(row.seeds.begin(), row.seeds.begin() + static_cast<std::ptrdiff_t>(seeds));
  std::size_t bands = 0;
  while (bands < row.bands.size() && lies_behind(row.bands[bands], behind_x_m)) ++bands;
  const double open_s = bands < row.bands.size() ? row.bands[bands].open_s : -1.0;
  std::erase_if(row.coil.openings, [&](const PulseOpening& one) { return one.command_s < open_s; });
  row.first_band += static_cast<int>(bands);
  row.bands.erase(row.bands.begin(), row.bands.begin() + static_cast<std::ptrdiff_t>(bands));

  std::size_t covered = row.covered.size();
  for (const BandRecord& band : row.bands)
    if (band.first_covered >= 0)
      covered = std::min(covered, static_cast<std::size_t>(band.first_covered));
  row.covered.erase(row.covered.begin(),
                    row.covered.begin() + static_cast<std::ptrdiff_t>(covered));
  for (CoveredSeed& one : row.covered) one.seed = less(one.seed, seeds);
  for (BandRecord& band : row.bands) {
    band.nearest_seed = less(band.nearest_seed, seeds);
    if (band.first_covered >= 0) band.first_covered -= static_cast<int>(covered);
  }
}

}  // namespace sim::measure
