// The rate at which the tank empties, and the rate inside the bands, which the roots meet.
//
//   treated share      E[min(B, spacing)] / E[spacing] over the given spacings: overlap counts once
//   field average      in-band rate * treated share
//   row flow           q w v: q volume per area, w row width, v ground speed
//   per length of row  q w
//   concentrate        field average r0 (f + s (1 - f)), in-band that over f: r0 the rate of a
//                      former stream, f treated share, s from 0 (the strength beside the seed stays
//                      that of the stream) to 1 (the volume per area stays that of the stream)
//
// A continuous stream has treated share 1: the field average is the rate that was entered.
// Errors   EXPECTS spacings not empty and > 0, band > 0, 0 < f <= 1, 0 <= s <= 1
// Source   scenarios/manual/measures.md; common practice of the trade, no source
// Checked  tests/published/rate_test.cc
#pragma once

#include <span>

namespace sim::rate {

double treated_ratio(std::span<const double> spacings_m, double band_length_m);
/// The same for one even spacing.
double treated_ratio(double spacing_m, double band_length_m);

double field_average_rate_m3pm2(double in_band_rate_m3pm2, double treated_share_ratio);
double row_flow_m3ps(double in_band_rate_m3pm2, double row_width_m, double speed_mps);
double row_rate_m3pm(double in_band_rate_m3pm2, double row_width_m);

struct BandRates {
  double field_average_m3pm2 = 0.0;
  double in_band_m3pm2 = 0.0;
};
BandRates concentrated_rates(double former_rate_m3pm2, double treated_share_ratio,
                             double concentrate_ratio);

}  // namespace sim::rate
