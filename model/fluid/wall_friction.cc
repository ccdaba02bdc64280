#include "model/fluid/wall_friction.h"

#include <Eigen/Dense>
#include <array>
#include <cmath>

#include "model/reproducible_math.h"
#include "shared/check.h"
#include "shared/units.h"

namespace model {
namespace {

// Zeros of J2 to 20 digits (computed with 30). The last one adds exp(-65.16^2 * 0.01) = 4e-19 at
// the change of branch.
constexpr std::array<double, 20> kZerosOfJ2 = {
    5.1356223018406825563, 8.4172441403998648578, 11.619841172149059427, 14.795951782351260747,
    17.959819494987826455, 21.116997053021845591, 24.27011231357310261,  27.420573549984557331,
    30.569204495516397037, 33.716519509222699922, 36.862856511283809818, 40.008446733478192227,
    43.15345377837146327,  46.297996677236919185, 49.442164110416872731, 52.586023506815963632,
    55.729627053201144086, 58.87301577261216465,  62.016222359217653702, 65.159273190757797829};
// Below this time the short-time series is within 1e-15, above it the eigenvalue sum is.
constexpr double kBranch_ratio = 0.01;
constexpr int kSeriesTerms = 22;

struct ShortTimeSeries {
  std::array<double, kSeriesTerms> weight_ratio{};    // of tau^((k-1)/2) in W
  std::array<double, kSeriesTerms> integral_ratio{};  // of tau^((k+1)/2) in its integral
};

ShortTimeSeries make_series() {
  std::array<double, kSeriesTerms> c{};
  c[0] = 1.0;
  for (std::size_t k = 1; k < c.size(); ++k) {
    double products_ratio = 0.0;
    for (std::size_t i = 1; i < k; ++i) products_ratio += c[i] * c[k - i];
    c[k] = 0.5 * ((static_cast<double>(k) - 6.0) * c[k - 1] - products_ratio);
  }
  ShortTimeSeries series;
  double gamma_odd_ratio =
      std::sqrt(shared::kPi_ratio);  // Gamma((k+1)/2) for even k: from Gamma(1/2)
  double gamma_even_ratio = 1.0;     // for odd k: from Gamma(1)
  for (std::size_t k = 0; k < c.size(); ++k) {
    const double half_ratio = 0.5 * (static_cast<double>(k) + 1.0);
    double& gamma_ratio = k % 2 == 0 ? gamma_odd_ratio : gamma_even_ratio;
    series.weight_ratio[k] = 0.5 * c[k] / gamma_ratio;
    gamma_ratio *= half_ratio;  // Gamma(x + 1) = x Gamma(x)
    series.integral_ratio[k] = 0.5 * c[k] / gamma_ratio;
  }
  return series;
}

const ShortTimeSeries& series_of_w() {
  static const ShortTimeSeries series = make_series();
  return series;
}

// sum of a_k root^k, by Horner.
double polynomial_ratio(const std::array<double, kSeriesTerms>& a, double root_ratio) {
  double sum_ratio = 0.0;
  for (std::size_t k = a.size(); k-- > 0;) sum_ratio = sum_ratio * root_ratio + a[k];
  return sum_ratio;
}

constexpr std::array<KernelTerm, 26> kPublished = {{{1.0, 26.3744},
                                                    {1.0, 70.8493},
                                                    {1.0, 135.0198},
                                                    {1.0, 218.9216},
                                                    {1.0, 322.5544},
                                                    {2.141, 499.148},
                                                    {4.544, 1072.543},
                                                    {7.566, 2663.013},
                                                    {11.299, 6566.001},
                                                    {16.531, 15410.459},
                                                    {24.794, 35414.779},
                                                    {36.229, 80188.189},
                                                    {52.576, 177078.960},
                                                    {78.150, 388697.936},
                                                    {113.873, 850530.325},
                                                    {165.353, 1835847.582},
                                                    {247.915, 3977177.832},
                                                    {369.561, 8721494.927},
                                                    {546.456, 19120835.527},
                                                    {818.871, 42098544.558},
                                                    {1209.771, 92940512.285},
                                                    {1770.756, 203458923.000},
                                                    {2651.257, 445270063.893},
                                                    {3968.686, 985067938.887},
                                                    {5789.566, 2166385706.058},
                                                    {8949.468, 4766167206.672}}};

}  // namespace

double exact_kernel_ratio(double tau_ratio) {
  EXPECTS(tau_ratio > 0.0);
  if (tau_ratio < kBranch_ratio) {
    const double root_ratio = std::sqrt(tau_ratio);
    return polynomial_ratio(series_of_w().weight_ratio, root_ratio) / root_ratio;
  }
  double sum_ratio = 0.0;
  for (std::size_t i = kZerosOfJ2.size(); i-- > 0;)
    sum_ratio += exp_of(-kZerosOfJ2[i] * kZerosOfJ2[i] * tau_ratio);
  return sum_ratio;
}

double exact_kernel_integral_ratio(double tau_ratio) {
  EXPECTS(tau_ratio >= 0.0);
  if (tau_ratio < kBranch_ratio) {
    const double root_ratio = std::sqrt(tau_ratio);
    return polynomial_ratio(series_of_w().integral_ratio, root_ratio) * root_ratio;
  }
  double rest_ratio = 0.0;
  for (std::size_t i = kZerosOfJ2.size(); i-- > 0;) {
    const double rate_ratio = kZerosOfJ2[i] * kZerosOfJ2[i];
    rest_ratio += exp_of(-rate_ratio * tau_ratio) / rate_ratio;
  }
  return 1.0 / 12.0 - rest_ratio;
}

double kernel_sum_ratio(std::span<const KernelTerm> terms, double tau_ratio) {
  double sum_ratio = 0.0;
  for (const KernelTerm& term : terms)
    sum_ratio += term.weight_ratio * exp_of(-term.rate_ratio * tau_ratio);
  return sum_ratio;
}

double kernel_sum_error_ratio(std::span<const KernelTerm> terms, double from_tau_ratio,
                              double to_tau_ratio) {
  EXPECTS(from_tau_ratio > 0.0 && to_tau_ratio > from_tau_ratio);
  const double decades_ratio = log_of(to_tau_ratio / from_tau_ratio) / log_of(10.0);
  const int points = 2 + static_cast<int>(40.0 * decades_ratio);
  double worst_ratio = 0.0;
  for (int i = 0; i < points; ++i) {
    const double place_ratio = static_cast<double>(i) / static_cast<double>(points - 1);
    const double tau_ratio =
        from_tau_ratio * exp_of(place_ratio * log_of(to_tau_ratio / from_tau_ratio));
    const double error_ratio =
        std::abs(kernel_sum_ratio(terms, tau_ratio) / exact_kernel_ratio(tau_ratio) - 1.0);
    if (error_ratio > worst_ratio) worst_ratio = error_ratio;
  }
  return worst_ratio;
}

std::span<const KernelTerm> published_kernel() { return kPublished; }

}  // namespace model
