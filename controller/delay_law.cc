#include "controller/delay_law.h"

#include "controller/ticks.h"

namespace controller {
namespace {

// Instants further away than this are not planned, which keeps them inside half a counter range.
constexpr std::int64_t kFurthestUs = 200'000'000;

std::int64_t at_least_slow(std::int64_t speed_umps) {
  return std::max<std::int64_t>(speed_umps, kSlowestUmps);
}

/// Time until the outlet is `distance_um` beyond the place where the delivery time ended.
std::int64_t reach_in_us(const Seed& seed, std::int64_t distance_um, const DelayLaw& law,
                         const Odometer& odometer, const RowMotion& motion) {
  const std::uint32_t now = odometer.at_ticks;
  if (seed.placed) {
    const std::int64_t gone_um =
        divide_rounded(gone_since_pm(odometer, seed.reference_8nm), kMicro);
    return travel_time_us(distance_um - gone_um, row_speed_umps(motion, now), motion.accel_umps2);
  }
  const std::uint32_t start = later(seed.edge_ticks, law.delivery_us);
  return since_us(start, now) +
         std::int64_t{
             travel_time_us(distance_um, row_speed_umps(motion, start), motion.accel_umps2)};
}

/// Limits even garbage times, so that differences of two such instants still fit 32 bits.
std::int32_t planned(std::int64_t ahead_us) {
  return static_cast<std::int32_t>(std::clamp(ahead_us, -2 * kFurthestUs, 2 * kFurthestUs));
}

Firing lengthened(std::int64_t open_us, std::int64_t close_us, std::int32_t shortest_on_us) {
  const std::int64_t missing_us = std::max<std::int64_t>(0, shortest_on_us - (close_us - open_us));
  return {planned(open_us - missing_us / 2), planned(close_us + missing_us - missing_us / 2)};
}

}  // namespace

DelayLaw delay_law_for(const sillion_config& config, std::int32_t lead_us, std::int32_t lag_us) {
  const sillion_attachment_table& table = config.attachment;
  DelayLaw law;
  law.delivery_us = table.delay_time_us + table.reference_lead_us;
  law.path_um = table.delay_distance_um + (table.reference_band_um - config.band_length_um) / 2 +
                config.trim_um;
  law.band_um = config.band_length_um;
  law.lead_us = lead_us;
  law.lag_us = lag_us;
  law.shortest_on_us = table.shortest_on_us;
  return law;
}

std::int32_t travel_time_us(std::int64_t distance_um, std::int32_t speed_umps,
                            std::int32_t accel_umps2) {
  const std::int64_t speed = at_least_slow(speed_umps);
  std::int64_t time_us = std::clamp(distance_um * kMicro / speed, -kFurthestUs, kFurthestUs);
  if (accel_umps2 == 0) return static_cast<std::int32_t>(time_us);
  for (int pass = 0; pass < 2; ++pass) {
    const std::int64_t gained = accel_umps2 * time_us / kMicro;
    // No ramp lasts so long that more than half the speed is gained or lost on the way.
    const std::int64_t mean =
        at_least_slow(std::clamp(speed + gained / 2, speed / 2, speed + speed / 2));
    time_us = std::clamp(divide_rounded(distance_um * kMicro, mean), -kFurthestUs, kFurthestUs);
  }
  return static_cast<std::int32_t>(time_us);
}

void place_seed(Seed& seed, const DelayLaw& law, const Odometer& odometer,
                const RowMotion& motion) {
  if (seed.placed) return;
  const std::int32_t ago_us = since_us(odometer.at_ticks, later(seed.edge_ticks, law.delivery_us));
  if (ago_us < 0) return;
  seed.reference_8nm = place_8nm(place_ago_pm(odometer, motion, ago_us));
  seed.placed = 1;
}

Firing firing_of(const Seed& seed, const DelayLaw& law, const Odometer& odometer,
                 const RowMotion& motion) {
  const std::int64_t start_us = reach_in_us(seed, law.path_um, law, odometer, motion);
  const std::int64_t end_us = reach_in_us(seed, law.path_um + law.band_um, law, odometer, motion);
  return lengthened(start_us - law.lead_us, end_us - law.lag_us, law.shortest_on_us);
}

std::int32_t steady_delay_us(const DelayLaw& law, std::int32_t speed_umps) {
  const std::int64_t start_us =
      law.delivery_us + std::int64_t{travel_time_us(law.path_um, speed_umps, 0)};
  const std::int64_t end_us =
      law.delivery_us +
      std::int64_t{travel_time_us(std::int64_t{law.path_um} + law.band_um, speed_umps, 0)};
  return lengthened(start_us - law.lead_us, end_us - law.lag_us, law.shortest_on_us).open_in_us;
}

}  // namespace controller
