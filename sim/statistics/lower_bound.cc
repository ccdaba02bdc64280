#include "sim/statistics/lower_bound.h"

#include <algorithm>
#include <cmath>
#include <vector>

#include "shared/check.h"
#include "sim/statistics/spread.h"

namespace sim::statistics {
namespace {

constexpr double kNormal95_ratio = 1.6448536269514722;

// Standard t table, one-sided 95 %, from memory; checked against Boost.Math in the test. It is a
// table because a library's inverse may differ in its last bits from machine to machine.
constexpr double kStudent95_ratio[] = {6.314, 2.920, 2.353, 2.132, 2.015, 1.943, 1.895, 1.860,
                                       1.833, 1.812, 1.796, 1.782, 1.771, 1.761, 1.753, 1.746,
                                       1.740, 1.734, 1.729, 1.725, 1.721, 1.717, 1.714, 1.711,
                                       1.708, 1.706, 1.703, 1.701, 1.699, 1.697};

// Beyond the table the expansion in 1/df (Abramowitz and Stegun 26.7.5, three terms) is exact to
// 1e-5, far below the table's rounding.
double student95_ratio(long long freedom) {
  constexpr long long kTabled = static_cast<long long>(std::size(kStudent95_ratio));
  EXPECTS(freedom >= 1);
  if (freedom <= kTabled) return kStudent95_ratio[freedom - 1];
  const double z = kNormal95_ratio;
  const double n = static_cast<double>(freedom);
  const double z2 = z * z;
  const double first = z * (z2 + 1.0) / 4.0;
  const double second = z * ((5.0 * z2 + 16.0) * z2 + 3.0) / 96.0;
  const double third = z * (((3.0 * z2 + 19.0) * z2 + 17.0) * z2 - 15.0) / 384.0;
  return z + (first + (second + third / n) / n) / n;
}

// E. B. Wilson, J. Am. Stat. Assoc. 22, 1927 (from memory): the share at which the count found
// would lie z standard errors above expectation.
double wilson_lower_ratio(long long good, long long total) {
  const double n = static_cast<double>(total);
  const double p_ratio = static_cast<double>(good) / n;
  const double z2 = kNormal95_ratio * kNormal95_ratio;
  const double middle_ratio = p_ratio + z2 / (2.0 * n);
  const double root_ratio =
      kNormal95_ratio * std::sqrt(p_ratio * (1.0 - p_ratio) / n + z2 / (4.0 * n * n));
  return std::max(0.0, (middle_ratio - root_ratio) / (1.0 + z2 / n));
}

}  // namespace

double lower95_ratio(std::span<const long long> good, std::span<const long long> total) {
  EXPECTS(good.size() == total.size());
  std::vector<double> share_ratio;
  long long all_good = 0, all = 0;
  for (std::size_t c = 0; c < total.size(); ++c) {
    EXPECTS(good[c] >= 0 && good[c] <= total[c]);
    if (total[c] == 0) continue;  // a cluster without trials bounds nothing
    share_ratio.push_back(static_cast<double>(good[c]) / static_cast<double>(total[c]));
    all_good += good[c];
    all += total[c];
  }
  if (all == 0) return kNone_ratio;
  const double wilson_ratio = wilson_lower_ratio(all_good, all);
  const auto clusters = static_cast<long long>(share_ratio.size());
  if (clusters < 2) return wilson_ratio;
  const double error_ratio = sd_of(share_ratio) / std::sqrt(static_cast<double>(clusters));
  const double student_ratio = mean_of(share_ratio) - student95_ratio(clusters - 1) * error_ratio;
  return std::max(0.0, std::min(wilson_ratio, student_ratio));
}

}  // namespace sim::statistics
