// Zones of another rate along the machine's way: [[rate.zone]], a list of tables with from, until
// and in_band; and the rate that is set at an instant.
//
//   rate.in_band holds outside the zones. A zone is stated by instants, as [[work.row_off]] is; all
//   rows of the machine enter it at once. in_band = 0: nothing is laid there.
//   The rate of a band is that at the instant at which its opening is commanded.
//
// Errors   InputError with file, line and key: an unknown key, a zone that ends before it begins,
//          zones that overlap
// Checked  tests/sim/scenario/rate_zones_test.cc
#pragma once

#include <vector>

#include "sim/scenario/scenario.h"
#include "sim/text/document.h"

namespace sim::scenario {

/// `document` is the whole scenario.
std::vector<RateZone> read_rate_zones(const text::Node& document);
/// The rate in the band that is set at an instant, and its share of rate.in_band.
double in_band_rate_m3pm2(const RateSection& rate, double at_s);
double in_band_share_ratio(const RateSection& rate, double at_s);
/// Its mean over a time.
double mean_in_band_rate_m3pm2(const RateSection& rate, double from_s, double until_s);
/// The instants at which it changes, in order.
std::vector<double> rate_borders_s(const RateSection& rate);
/// Least (above 0) and most of rate.in_band and all zones, over rate.in_band.
double least_share_ratio(const RateSection& rate);
double most_share_ratio(const RateSection& rate);

}  // namespace sim::scenario
