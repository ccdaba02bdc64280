// Published limits of fertiliser in the furrow with the seed. All were written for unbroken
// streams; no published limit for pulsed bands is known. So figures are compared with these limits
// both averaged over the furrow and inside the band, and nothing here is advice.
//
//   in-furrow table   corn, N + K2O, no urea or UAN: medium-fine soil 8 lb/ac at 30 in rows,
//                     constant per length of row (as 1/row width: 6 and 12 lb/ac at 40 and 20 in);
//                     sandy 4, 6 and 8 lb/ac at 40, 30 and 20 in as printed, at other widths the
//                     least of the printed figures per length of row
//   extension note    corn, 10 lb/ac of N plus K2O, for any soil
//   soybean           no rate is published as safe with the seed; nor for oil seeds and other crops
//
// Errors   none; the list is empty where no limit is published
// Source   Kansas State University extension, in-furrow starter table; Penn State extension; the
//          check quotes what is printed
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
  std::string soil;          // empty: any soil
  double row_width_m = 0.0;  // 0: any width
  double limit_kgpm2 = 0.0;  // N + K2O, over the row's width; 0: none is known
  std::string source;        // of the limit, or what is known where there is none
  std::string condition;
};
/// All that is known here, by crop in the order of `crop_words`, for a list.
std::vector<KnownLimit> known_limits();
/// The strictest limit first; empty where none is published for that crop.
std::vector<SeedLimit> seed_limits(Crop crop, SoilTexture soil, double row_width_m);
/// What is known of a crop without a limit, in one sentence; empty for corn.
std::string crop_warning(Crop crop);

}  // namespace sim::rate
