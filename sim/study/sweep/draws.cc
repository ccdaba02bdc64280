#include "sim/study/sweep/draws.h"

#include <algorithm>
#include <boost/random/sobol.hpp>

#include "model/reproducible_math.h"
#include "shared/check.h"
#include "sim/bench/random.h"
#include "sim/statistics/normal_point.h"

namespace sim::sweep {
namespace {

constexpr double kPerWord_ratio = 0x1p-32;

// The middle of the cell of a 32-bit draw, never its edge, so that no quantile is infinite.
double inside_ratio(std::uint32_t word) {
  return (static_cast<double>(word) + 0.5) * kPerWord_ratio;
}

bench::RandomStream axis_stream(const Study& study, std::size_t axis) {
  return {.rng_key = study.rng_key, .row = static_cast<std::uint32_t>(axis)};
}

std::uint32_t shift_of(const Study& study, std::size_t axis, std::size_t net) {
  const double share_ratio = axis_stream(study, axis).uniform_ratio(bench::Purpose::kNetShift, net);
  return static_cast<std::uint32_t>(share_ratio * 0x1p32);
}

double random_ratio(const Study& study, std::size_t axis, std::size_t sample) {
  const double drawn_ratio =
      axis_stream(study, axis).uniform_ratio(bench::Purpose::kSampleShare, sample);
  return std::max(drawn_ratio, 0x1p-54);  // above 0
}

std::vector<std::size_t> drawn_axes(const Study& study) {
  std::vector<std::size_t> axes;
  for (std::size_t axis = 0; axis < study.axes.size(); ++axis)
    if (study.axes[axis].draw.shape != scenario::DrawShape::kNone) axes.push_back(axis);
  return axes;
}

double normal_si(const scenario::AxisDraw& draw, double share_ratio) {
  const double low_ratio =
      statistics::normal_share_ratio((draw.low_si - draw.first_si) / draw.second_si);
  const double high_ratio =
      statistics::normal_share_ratio((draw.high_si - draw.first_si) / draw.second_si);
  const double within_ratio = low_ratio + share_ratio * (high_ratio - low_ratio);
  // Rounding may carry a draw to share 0 or 1, where the quantile is infinite.
  const double kept_ratio = std::clamp(within_ratio, 0x1p-60, 1.0 - 0x1p-53);
  return draw.first_si + draw.second_si * statistics::normal_point_ratio(kept_ratio);
}

}  // namespace

std::vector<std::vector<std::uint32_t>> sobol_points(std::size_t axes, std::size_t count) {
  EXPECTS(axes >= 1);
  boost::random::sobol_engine<std::uint32_t, 32> engine(axes);  // skips the origin
  std::vector<std::vector<std::uint32_t>> points(count, std::vector<std::uint32_t>(axes, 0));
  for (std::size_t point = 1; point < count; ++point)
    for (std::size_t axis = 0; axis < axes; ++axis) points[point][axis] = engine();
  return points;
}

double drawn_si(const scenario::AxisDraw& draw, double share_ratio) {
  EXPECTS(share_ratio > 0.0 && share_ratio < 1.0 && draw.shape != scenario::DrawShape::kNone);
  double value_si = draw.first_si + share_ratio * (draw.second_si - draw.first_si);
  if (draw.shape == scenario::DrawShape::kLogUniform)
    value_si =
        draw.first_si * model::exp_of(share_ratio * model::log_of(draw.second_si / draw.first_si));
  if (draw.shape == scenario::DrawShape::kNormal) value_si = normal_si(draw, share_ratio);
  return std::clamp(value_si, draw.low_si, draw.high_si);
}

std::vector<std::vector<double>> drawn_shares_ratio(const Study& study, std::size_t batch) {
  EXPECTS(study.sampling != scenario::Sampling::kGrid && study.samples >= 1);
  const std::vector<std::size_t> axes = drawn_axes(study);
  const auto samples = static_cast<std::size_t>(study.samples);
  std::vector<std::vector<double>> shares_ratio(samples, std::vector<double>(axes.size()));
  const auto points = study.sampling == scenario::Sampling::kLowDiscrepancy
                          ? sobol_points(axes.size(), samples)
                          : std::vector<std::vector<std::uint32_t>>{};
  for (std::size_t column = 0; column < axes.size(); ++column) {
    const std::size_t axis = axes[column];
    for (std::size_t i = 0; i < samples; ++i) {
      shares_ratio[i][column] =
          points.empty() ? random_ratio(study, axis, batch * samples + i)
                         : inside_ratio(points[i][column] ^ shift_of(study, axis, batch));
    }
  }
  return shares_ratio;
}

std::vector<std::vector<std::string>> drawn_values(const Study& study, std::size_t batch) {
  const std::vector<std::size_t> axes = drawn_axes(study);
  std::vector<std::vector<std::string>> values;
  for (const std::vector<double>& shares_ratio : drawn_shares_ratio(study, batch)) {
    values.emplace_back();
    for (std::size_t column = 0; column < axes.size(); ++column) {
      const scenario::AxisDraw& draw = study.axes[axes[column]].draw;
      const double value_si = drawn_si(draw, shares_ratio[column]);
      values.back().push_back(draw.unit.empty()
                                  ? text::shortest_text(value_si)
                                  : text::format_quantity(value_si, draw.kind, draw.unit, 7));
    }
  }
  return values;
}

}  // namespace sim::sweep
