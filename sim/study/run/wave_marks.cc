#include "sim/study/run/wave_marks.h"

#include <fmt/format.h>

#include <cmath>

namespace sim::run {
namespace {

/// The seed of a row's band; -1 if it has none.
std::int32_t seed_of_band(const measure::RowRecord& row, std::size_t band) {
  if (row.bands[band].merged) return row.bands[band].first_seed;
  for (std::size_t seed = 0; seed < row.seeds.size(); ++seed)
    if (row.seeds[seed].band == static_cast<int>(band)) return static_cast<std::int32_t>(seed);
  return -1;
}

}  // namespace

void mark_wave(const measure::RowRecord& row, int watched_seed, const RunResult& result,
               std::vector<measure::WaveInstant>& wave) {
  const measure::SeedRecord& watched = row.seeds[static_cast<std::size_t>(watched_seed)];
  const double half_band_m = 0.5 * result.scenario.rate.band_length_m;
  // An ideal row has no column: the liquid that leaves belongs to the pulse that is on.
  const double owned_after_s = 0.9 * result.tuned.fit.tube_travel_time_s;
  std::size_t next = 0;  // first band whose liquid does not yet leave
  std::int32_t owner = -1;
  for (measure::WaveInstant& now : wave) {
    const double at_s = now.at.seconds();
    bool moved = false;
    while (next < row.bands.size() && row.bands[next].open_s + owned_after_s <= at_s) {
      ++next;
      moved = true;
    }
    if (moved) owner = seed_of_band(row, next - 1);
    now.own_liquid = next > 0 && now.outlet_flow_m3ps > 0.0;
    now.seed_number = now.own_liquid ? owner : -1;
    now.wanted = std::abs(now.landing_x_ground_m - watched.rest_x_ground_m) <= half_band_m;
  }
}

measure::Waveform waveform_of(const RunResult& result) {
  const bench::Watch& watched = result.record.watched;
  measure::Waveform wave;
  wave.notes = {
      fmt::format("{}: row {}, seed {}", result.scenario.name, watched.row, watched.seed),
      fmt::format("scenario {}, parameters {}, controller {}, program {}", result.hashes.scenario,
                  result.hashes.parameters, result.hashes.controller, result.hashes.program),
      "simulated; times are bench time from run start"};
  if (!result.record.fault.text.empty())
    wave.notes.push_back("controller fault: " + result.record.fault.text);
  wave.instants = result.record.wave;
  return wave;
}

}  // namespace sim::run
