#include "sim/study/rate/rate.h"

#include <algorithm>

#include "shared/check.h"

namespace sim::rate {

double treated_ratio(std::span<const double> spacings_m, double band_length_m) {
  EXPECTS(!spacings_m.empty() && band_length_m > 0.0);
  double treated_m = 0.0;
  double row_m = 0.0;
  for (const double spacing_m : spacings_m) {
    EXPECTS(spacing_m > 0.0);
    treated_m += std::min(band_length_m, spacing_m);
    row_m += spacing_m;
  }
  return treated_m / row_m;
}

double treated_ratio(double spacing_m, double band_length_m) {
  return treated_ratio(std::span<const double>(&spacing_m, 1), band_length_m);
}

double field_average_rate_m3pm2(double in_band_rate_m3pm2, double treated_share_ratio) {
  return in_band_rate_m3pm2 * treated_share_ratio;
}

double row_flow_m3ps(double in_band_rate_m3pm2, double row_width_m, double speed_mps) {
  return in_band_rate_m3pm2 * row_width_m * speed_mps;
}

double row_rate_m3pm(double in_band_rate_m3pm2, double row_width_m) {
  return in_band_rate_m3pm2 * row_width_m;
}

BandRates concentrated_rates(double former_rate_m3pm2, double treated_share_ratio,
                             double concentrate_ratio) {
  EXPECTS(treated_share_ratio > 0.0 && treated_share_ratio <= 1.0);
  EXPECTS(concentrate_ratio >= 0.0 && concentrate_ratio <= 1.0);
  const double average_m3pm2 =
      former_rate_m3pm2 * (treated_share_ratio + concentrate_ratio * (1.0 - treated_share_ratio));
  return {.field_average_m3pm2 = average_m3pm2,
          .in_band_m3pm2 = average_m3pm2 / treated_share_ratio};
}

}  // namespace sim::rate
