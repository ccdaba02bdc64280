// Landing: see trace_events.h.
#include <algorithm>
#include <cmath>

#include "sim/study/valve/trace/trace_events.h"
#include "sim/study/valve/trace/trace_fit.h"

namespace sim::valve {
namespace {

constexpr int kLandingScanned = 16;
constexpr int kLandingRefined = 12;

struct Orders {
  int before = 1, after = 1;
  int unknowns() const { return 1 + before + after; }
};

class KinkScan {
 public:
  KinkScan(std::span<const double> t, std::span<const double> y, double coarse)
      : t_(t), y_(y), scale_(std::max(t.back() - t.front(), 1e-12)) {
    int before = 0, after = 0;
    for (const double time : t) ++(time < coarse ? before : after);
    orders_.before = before >= 10 ? 3 : before >= 5 ? 2 : 1;
    orders_.after = after >= 6 ? 2 : 1;
    reference_ = y.back();
  }

  SmallFit fit(double kink, double jump_per_s = 0.0, double after_per_s = 0.0,
               bool with_kink = false) const {
    SmallFit fit(orders_.unknowns() + (with_kink ? 1 : 0));
    for (std::size_t k = 0; k < t_.size(); ++k) {
      const double d = (t_[k] - kink) / scale_;
      SmallFit::Row row{1.0};
      std::size_t at = 1;
      double power = 1.0;
      for (int order = 1; order <= orders_.before; ++order)
        power *= d, row[at++] = d < 0.0 ? power : 0.0;
      power = 1.0;
      for (int order = 1; order <= orders_.after; ++order)
        power *= d, row[at++] = d < 0.0 ? 0.0 : power;
      if (with_kink) row[at] = d < 0.0 ? -jump_per_s : -after_per_s;
      fit.take(row, y_[k] - reference_);
    }
    return fit;
  }

  double rest(double kink) const {
    SmallFit trial = fit(kink);
    return trial.solve(false) ? trial.rest() : 1e300;
  }

  const Orders& orders() const { return orders_; }
  double scale() const { return scale_; }
  double reference() const { return reference_; }

 private:
  std::span<const double> t_, y_;
  double scale_;
  double reference_ = 0.0;
  Orders orders_;
};

double best_kink(const KinkScan& scan, double low, double high) {
  const double step = (high - low) / kLandingScanned;
  double best = low, least = scan.rest(low);
  for (int k = 1; k <= kLandingScanned; ++k) {
    const double rest = scan.rest(low + k * step);
    if (rest < least) least = rest, best = low + k * step;
  }
  double a = std::max(low, best - step), b = std::min(high, best + step);
  for (int k = 0; k < kLandingRefined;
       ++k) {  // shares of the interval: the squares have corners at the samples
    const double one = a + (b - a) * 0.4, other = b - (b - a) * 0.4;
    if (scan.rest(one) <= scan.rest(other))
      b = other;
    else
      a = one;
  }
  const double found = 0.5 * (a + b);
  return scan.rest(found) <= least ? found : best;
}

}  // namespace

KinkFit fit_kink(std::span<const double> t_s, std::span<const double> y_vs, double coarse_s,
                 double reach_s, double noise_vs) {
  KinkFit found;
  if (t_s.size() < 6) return found;
  const KinkScan scan(t_s, y_vs, coarse_s);
  // Each piece needs at least two samples.
  const double low_s = std::max(coarse_s - reach_s, t_s[2]);
  const double high_s = std::min(coarse_s + reach_s, t_s[t_s.size() - 3]);
  if (!(high_s > low_s)) return found;
  const double kink_s = best_kink(scan, low_s, high_s);
  SmallFit fit = scan.fit(kink_s);
  if (!fit.solve()) return found;
  found.slope_before_v = fit.value(1) / scan.scale();
  found.slope_after_v = fit.value(1 + scan.orders().before) / scan.scale();
  SmallFit with_kink = scan.fit(kink_s, found.slope_before_v, found.slope_after_v, true);
  if (!with_kink.solve()) return found;
  const int unknowns = scan.orders().unknowns() + 1;
  const double freedom = std::max(1.0, static_cast<double>(t_s.size()) - unknowns);
  const double sigma_vs = std::max(noise_vs, std::sqrt(fit.rest() / freedom));
  found.found = true;
  found.at_s = kink_s;
  found.at_sd_s = sigma_vs * std::sqrt(with_kink.variance(unknowns - 1));
  found.level_vs = scan.reference() + fit.value(0);
  return found;
}

}  // namespace sim::valve
