// A grower's plan: what a field shall get of one product, with one machine and one crop. It is a
// scenario (its `base` and any section of scenario files state meter, band, machine and liquid)
// with these additional sections:
//
//   [plan]     field_average or former; with neither, rate.in_band holds; concentrate (needs
//              former: 0 keeps the strength beside the seed, 1 keeps the volume per area), tank,
//              season
//   [field]    area, pass_length     or [[zone]] name, area, in_band
//   [product]  kind, density, grade "N-P2O5-K2O" in percent by mass, price "3.50 USD/gal", urea,
//              salt_index, label_rate, tank_life, coldest, warmest
//   [crop]     name, soil
//
// Errors   InputError with file, line, key and the nearest valid name: unknown crop or soil, zero
//          or negative areas and prices, no density, `concentrate` without a former rate, or above
//          0 for a pesticide; the old key `invest` is refused with its present name
// Checked  tests/sim/study/rate/rate_plan_test.cc, tests/hostile/rate_plan_input_test.cc
#pragma once

#include <array>
#include <cstdint>
#include <filesystem>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "sim/scenario/scenario.h"

namespace sim::rate {

enum class ProductKind : std::uint8_t { kFertiliser, kBiological, kPesticide };
enum class Crop : std::uint8_t { kCorn, kSorghum, kSmallGrain, kSoybean, kOilSeed, kOther };
enum class SoilTexture : std::uint8_t { kMediumFine, kSandy };

struct Product {
  std::string name;
  ProductKind kind = ProductKind::kFertiliser;
  double density_kgpm3 = 0.0;
  bool graded = false;
  std::array<double, 3> grade_ratio{};  // N, P2O5, K2O by mass
  bool urea = false;                    // contains urea or UAN
  double salt_index_ratio = 0.0;        // 0: not known
  double price_perm3 = 0.0;             // 0: not stated  (tidy: unit is the currency over m3)
  std::string currency;
  double label_m3pm2 = 0.0;  // pesticide: the label's row rate, over the row's width
  double tank_life_s = 0.0;  // 0: not stated
  double coldest_k = 0.0, warmest_k = 0.0;
};

struct Zone {
  std::string name;
  double area_m2 = 0.0;
  double in_band_m3pm2 = 0.0;
};

enum class RateGiven : std::uint8_t { kInBand, kFieldAverage, kFormer };

struct RatePlan {
  std::string name, title;
  std::filesystem::path folder;  // folder of the plan, where catalogs are looked for
  scenario::Scenario scenario;   // its rate.in_band counts only where the plan gives that rate
  RateGiven given = RateGiven::kInBand;
  double field_average_m3pm2 = 0.0;
  double former_m3pm2 = 0.0;  // 0: not stated
  double concentrate_ratio = 0.0;
  double area_m2 = 0.0;        // of all zones together, where there are zones
  std::vector<Zone> zones;     // empty: one rate for the whole field
  double pass_length_m = 0.0;  // 0: not stated
  double tank_m3 = 0.0;        // 0: not stated
  double season_m2 = 0.0;      // 0: this field is the season
  Product product;
  Crop crop = Crop::kCorn;
  SoilTexture soil = SoilTexture::kMediumFine;
};

RatePlan load_rate_plan(const std::filesystem::path& file,
                        const std::vector<std::string>& sets = {});
/// All crops in the order of Crop, for a list and for errors.
std::span<const std::string_view> crop_words();
const char* crop_word(Crop crop);
const char* soil_word(SoilTexture soil);

}  // namespace sim::rate
