#include "sim/study/run/seed_codes.h"

#include <cmath>
#include <cstdint>
#include <string_view>

#include "sim/study/run/tables.h"

namespace sim::run {
namespace {

constexpr std::string_view kDigits =
    "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
constexpr int kStatuses = 6;

/// `steps_ratio`: the value in steps of the code, which starts at zero.
void add_number(double steps_ratio, int digits, std::string& codes) {
  const std::int64_t unknown = (std::int64_t{1} << (6 * digits)) - 1;
  std::int64_t number = unknown;
  if (std::isfinite(steps_ratio) && steps_ratio > -0.5 &&
      steps_ratio < static_cast<double>(unknown) - 0.5)
    number = std::llround(steps_ratio);
  for (int digit = digits; digit-- > 0;)
    codes += kDigits[static_cast<std::size_t>((number >> (6 * digit)) & 63)];
}

}  // namespace

std::string seed_codes(const measure::RowRecord& row) {
  std::string codes;
  codes.reserve(12 * row.seeds.size());
  for (const measure::SeedRecord& seed : row.seeds) {
    double length_m = statistics::kNone_ratio, dose_m3 = statistics::kNone_ratio;
    if (seed.band >= 0) {
      const measure::BandRecord& band = row.bands[static_cast<std::size_t>(seed.band)];
      length_m = band.end_x_ground_m - band.start_x_ground_m;
      dose_m3 = band.dose_m3;
    }
    add_number(seed.edge_s * 1e4, 4, codes);
    add_number(seed.placement_error_m * 1e5 + 131072.0, 3, codes);
    add_number(length_m * 1e4, 2, codes);
    add_number(dose_m3 * 1e9, 2, codes);
    add_number(static_cast<int>(seed.status) + (seed.sensed ? 8 : 0), 1, codes);
  }
  return codes;
}

std::string seed_status_words() {
  std::string words;
  for (int status = 0; status < kStatuses; ++status)
    words += (words.empty() ? "" : " ") +
             std::string(status_word(static_cast<measure::SeedStatus>(status)));
  return words;
}

}  // namespace sim::run
