#include "model/seed/seed_meter.h"

#include <algorithm>

#include "shared/check.h"

namespace model {

MeteredSlot metered_slot(const SeedMeterParams& params, long long slot,
                         const SeedMeterDraws& draws) {
  EXPECTS(params.spacing_m > 0.0 && params.scatter_ratio >= 0.0);
  EXPECTS(params.skips_ratio >= 0.0 && params.doubles_ratio >= 0.0);
  EXPECTS(params.skips_ratio + params.doubles_ratio <= 1.0);
  EXPECTS(params.double_gap_min_ratio >= 0.0 &&
          params.double_gap_max_ratio >= params.double_gap_min_ratio);

  MeteredSlot metered;
  if (draws.kind_uniform_ratio < params.skips_ratio) {
    metered.seeds = 0;
    return metered;
  }
  const double moved_ratio =
      std::clamp(params.scatter_ratio * draws.scatter_normal_ratio, -0.5, 0.5);
  const double place_ratio = static_cast<double>(slot) + moved_ratio;
  metered.x_at_sensor_m[0] = place_ratio * params.spacing_m;
  if (draws.kind_uniform_ratio < params.skips_ratio + params.doubles_ratio) {
    const double range_ratio = params.double_gap_max_ratio - params.double_gap_min_ratio;
    const double gap_ratio = params.double_gap_min_ratio + range_ratio * draws.gap_uniform_ratio;
    metered.seeds = 2;
    metered.x_at_sensor_m[1] = (place_ratio + gap_ratio) * params.spacing_m;
  }
  return metered;
}

}  // namespace model
