// What seed has been published to stand of fertiliser in its furrow. All of it was written for
// unbroken streams: no published limit for pulsed bands is known, so figures are shown against
// these both averaged over the furrow and inside the band, and nothing here is advice.
//
//   in-furrow table   corn, N + K2O, no urea or UAN: medium-fine soil 8 lb/ac at 30 in rows, by
//                     length of row (as 1/row width: 6 and 12 lb/ac at 40 and 20 in); sandy 4, 6
//                     and 8 lb/ac at 40, 30 and 20 in as printed, between these widths the least of
//                     the printed figures by length of row
//   extension note    corn, 10 lb/ac of N plus K2O, whatever the soil
//   soybean           none is published to be safe with the seed; oil seeds and others likewise
//
// Errors   none; no limit where none is published
// Source   Kansas State University extension, in-furrow starter table; Penn State extension; what
//          is printed stands beside its check
// Checked  tests/published/rate_plan_test.cc
#pragma once

#include <string>
#include <vector>

#include "shared/units.h"
#include "sim/study/rate/rate_plan.h"

namespace sim::rate {

inline constexpr double kPoundPerAcre_kgpm2 = shared::kPound_kg / shared::kAcre_m2;
inline constexpr double kKilogramPerHectare_kgpm2 = 1.0 / shared::kHectare_m2;

struct SeedLimit {
  std::string source;
  double limit_kgpm2 = 0.0;  // N + K2O, over the row's width
};

/// One printed limit, or a crop for which none is known.
struct KnownLimit {
  Crop crop = Crop::kCorn;
  std::string soil;          // empty: whatever the soil
  double row_width_m = 0.0;  // 0: whatever the width
  double limit_kgpm2 = 0.0;  // N + K2O, over the row's width; 0: none is known
  std::string source;        // of the limit, or what is known instead of one
  std::string condition;
};
/// All that is known here, by crop in the order of `crop_words`: for a list on request.
std::vector<KnownLimit> known_limits();
/// The strictest first; empty: none published for that crop.
std::vector<SeedLimit> seed_limits(Crop crop, SoilTexture soil, double row_width_m);
/// What is known of a crop without a limit, in one sentence; empty for corn.
std::string crop_warning(Crop crop);

}  // namespace sim::rate
