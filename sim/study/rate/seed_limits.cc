#include "sim/study/rate/seed_limits.h"

#include <algorithm>
#include <cmath>
#include <span>

#include "shared/check.h"
#include "shared/units.h"

namespace sim::rate {
namespace {

constexpr double kMediumFineAt30in_lbpac = 8.0;  // tidy: unit lb/ac
constexpr double kSameWidth_ratio = 0.01;

struct Printed {
  double row_in;       // tidy: unit in
  double limit_lbpac;  // tidy: unit lb/ac
};
constexpr Printed kSandy[] = {{40.0, 4.0}, {30.0, 6.0}, {20.0, 8.0}};
constexpr Printed kMediumFine[] = {{40.0, 6.0}, {30.0, 8.0}, {20.0, 12.0}};
constexpr double kNote_lbpac = 10.0;  // tidy: unit lb/ac
constexpr const char* kTable = "Kansas State University in-furrow table";
constexpr const char* kNote = "Penn State extension note";

/// The limits for sandy soil are printed in whole pounds: at a printed width that figure holds,
/// elsewhere the least of them per length of row.
double sandy_lbpac(double row_in) {
  double least_by_length = 1e9;  // tidy: unit lb in/ac
  for (const Printed& one : kSandy) {
    if (std::abs(row_in / one.row_in - 1.0) < kSameWidth_ratio) return one.limit_lbpac;
    least_by_length = std::min(least_by_length, one.limit_lbpac * one.row_in);
  }
  return least_by_length / row_in;
}

}  // namespace

std::vector<SeedLimit> seed_limits(Crop crop, SoilTexture soil, double row_width_m) {
  EXPECTS(row_width_m > 0.0);
  if (crop != Crop::kCorn) return {};
  const double row_in = row_width_m / shared::kInch_m;    // tidy: unit in
  const double table_lbpac = soil == SoilTexture::kSandy  // tidy: unit lb/ac
                                 ? sandy_lbpac(row_in)
                                 : kMediumFineAt30in_lbpac * 30.0 / row_in;
  std::vector<SeedLimit> limits = {{kTable, table_lbpac * kPoundPerAcre_kgpm2},
                                   {kNote, kNote_lbpac * kPoundPerAcre_kgpm2}};
  std::stable_sort(limits.begin(), limits.end(), [](const SeedLimit& a, const SeedLimit& b) {
    return a.limit_kgpm2 < b.limit_kgpm2;
  });
  return limits;
}

std::vector<KnownLimit> known_limits() {
  const char* stream = "no urea or UAN with the seed; written for an unbroken stream";
  std::vector<KnownLimit> known;
  const auto printed = [&](std::span<const Printed> lines, SoilTexture soil) {
    for (const Printed& one : lines)
      known.push_back({Crop::kCorn, soil_word(soil), one.row_in * shared::kInch_m,
                       one.limit_lbpac * kPoundPerAcre_kgpm2, kTable, stream});
  };
  printed(kMediumFine, SoilTexture::kMediumFine);
  printed(kSandy, SoilTexture::kSandy);
  known.push_back({Crop::kCorn,
                   {},
                   0.0,
                   kNote_lbpac * kPoundPerAcre_kgpm2,
                   kNote,
                   "written for an unbroken stream"});
  for (std::size_t k = 0; k < crop_words().size(); ++k) {
    const Crop crop = static_cast<Crop>(k);
    if (crop != Crop::kCorn) known.push_back({crop, {}, 0.0, 0.0, crop_warning(crop), {}});
  }
  return known;
}

std::string crop_warning(Crop crop) {
  switch (crop) {
    case Crop::kSoybean:
      return "Soybean is the crop most sensitive to fertiliser with the seed: no rate is published "
             "as safe, and most guides recommend none.";
    case Crop::kOilSeed:
      return "Oil seeds are sensitive: guides mostly allow no fertiliser with the seed, and none "
             "is "
             "published as safe.";
    case Crop::kSorghum:
      return "Sorghum tolerates less fertiliser with its seed than corn; no limit for it is known "
             "here.";
    case Crop::kSmallGrain:
      return "Small grain tolerates more fertiliser with its seed than corn; no limit for it is "
             "known here.";
    case Crop::kOther: return "No published limit for this crop is known here.";
    case Crop::kCorn: break;
  }
  return {};
}

}  // namespace sim::rate
