#include "controller/lowest_rate.h"

#include "controller/delay_law.h"
#include "controller/set_point_table.h"
#include "controller/ticks.h"

namespace controller {

LowestRate lowest_rate(const sillion_config& config, std::int32_t speed_umps,
                       std::int32_t rise_q16) {
  const sillion_attachment_table& table = config.attachment;
  const std::int64_t speed = std::max(speed_umps, kSlowestUmps);
  const std::int64_t shortest_us =
      std::int64_t{table.shortest_on_us} - table.lead_us[0] + table.lag_us[0];
  const std::int64_t band_us = std::max(config.band_length_um * kMicro / speed, shortest_us);
  // At most 0.5 l/s for 40 s: 2e13 of 1e-6 mm3, so the factor 1e6 is split.
  const std::int64_t area_um2 = std::int64_t{config.band_length_um} * config.row_width_um;
  const std::int64_t volume_nmm3 = table.flow_mm3ps[0] * band_us;
  const std::int32_t table_nm =
      saturated(divide_rounded(volume_nmm3 * 1'000, std::max<std::int64_t>(1, area_um2 / 1'000)));
  return {trimmed_mm3ps(table_nm, rise_q16), table_nm};
}

}  // namespace controller
