#include "sim/study/delay/strip_fit.h"

#include <Eigen/Dense>
#include <algorithm>
#include <cmath>
#include <map>
#include <utility>

#include "shared/check.h"
#include "sim/measure/record.h"
#include "sim/statistics/quantiles.h"
#include "sim/statistics/spread.h"
#include "sim/text/document.h"
#include "sim/text/quantity.h"

namespace sim::delay {
namespace {

constexpr double kModifiedScore_ratio = 3.5;
constexpr double kMadOfNormal_ratio = 0.6745;
constexpr double kTwoSided95_frac = 0.975;
constexpr double kFalseName_frac = 0.05;
constexpr int kFewestBands = 2;  // per cell: with fewer the scatter within a row cannot be seen

struct Cell {
  int run = 0;  // index into the runs
  int row = 0;  // index into the rows
  std::vector<StripReading> readings;
  double mean_m = 0.0;
};

struct Layout {
  std::vector<double> speeds_mps;  // per run
  std::vector<int> rows;           // numbers of the machine's rows
  std::vector<Cell> cells;         // in the order of run, then row
};

Layout layout_of(std::span<const StripReading> readings) {
  Layout layout;
  std::map<std::pair<double, int>, int> runs;
  std::map<int, int> rows;
  for (const StripReading& r : readings) runs[{r.speed_mps, r.run}] = 0, rows[r.row] = 0;
  for (auto& [key, index] : runs) {
    index = static_cast<int>(layout.speeds_mps.size());
    layout.speeds_mps.push_back(key.first);
  }
  for (auto& [row, index] : rows) {
    index = static_cast<int>(layout.rows.size());
    layout.rows.push_back(row);
  }
  std::map<std::pair<int, int>, Cell> cells;
  for (const StripReading& r : readings) {
    const int run = runs[{r.speed_mps, r.run}];
    Cell& cell = cells[{run, rows[r.row]}];
    cell.run = run;
    cell.row = rows[r.row];
    cell.readings.push_back(r);
  }
  for (auto& [key, cell] : cells) layout.cells.push_back(std::move(cell));
  return layout;
}

void leave_out_outliers(Layout& layout, StripFit& fit) {
  std::vector<double> distances_m;
  std::vector<double> medians_m;
  for (const Cell& cell : layout.cells) {
    std::vector<double> offsets_m;
    for (const StripReading& r : cell.readings) offsets_m.push_back(r.offset_m);
    medians_m.push_back(statistics::median_of(offsets_m));
    for (const double offset_m : offsets_m)
      distances_m.push_back(std::abs(offset_m - medians_m.back()));
  }
  const double count = static_cast<double>(distances_m.size());
  const double limit_ratio =
      std::max(kModifiedScore_ratio,
               statistics::normal_quantile_ratio(1.0 - kFalseName_frac / (2.0 * count)));
  fit.outlier_limit_m =
      limit_ratio * statistics::median_of(std::move(distances_m)) / kMadOfNormal_ratio;
  // Where more than half of the readings are equal (a tape read to whole centimetres), there is no
  // scale to judge by.
  if (!(fit.outlier_limit_m > 0.0)) return;
  for (std::size_t c = 0; c < layout.cells.size(); ++c) {
    std::vector<StripReading> kept;
    for (const StripReading& r : layout.cells[c].readings)
      (std::abs(r.offset_m - medians_m[c]) > fit.outlier_limit_m ? fit.outliers : kept)
          .push_back(r);
    layout.cells[c].readings = std::move(kept);
  }
}

void require_workable(const Layout& layout, const StripFitRules& rules) {
  const text::Place place{rules.file, 0, {}};
  if (layout.cells.empty()) text::fail(place, "offset", "no bands were read");
  const auto text = [](double speed_mps) {
    return text::format_quantity(speed_mps, text::Kind::kSpeed, "km/h", 3);
  };
  const double slowest_mps = layout.speeds_mps.front();
  const double fastest_mps = layout.speeds_mps.back();
  if (fastest_mps < slowest_mps * rules.least_speed_ratio) {
    text::fail(place, "speed",
               (fastest_mps > slowest_mps ? "speeds of " + text(slowest_mps) + " and " +
                                                text(fastest_mps) + " are too near"
                                          : "all bands were laid at " + text(fastest_mps)) +
                   ": a time error and a distance error look alike; lay a second strip at " +
                   text(fastest_mps / 2.0) + " (at most " +
                   text(fastest_mps / rules.least_speed_ratio) + ")");
  }
  for (const Cell& cell : layout.cells) {
    if (static_cast<int>(cell.readings.size()) >= kFewestBands) continue;
    text::fail(place, "band",
               "row " + std::to_string(layout.rows[static_cast<std::size_t>(cell.row)]) + " at " +
                   text(layout.speeds_mps[static_cast<std::size_t>(cell.run)]) + " has " +
                   std::to_string(cell.readings.size()) +
                   " bands: too few to see its scatter; read at least " +
                   std::to_string(kFewestBands) + " per row and run");
  }
}

double within_m(const Layout& layout) {
  double squares_m2 = 0.0;
  int freedom = 0;
  for (const Cell& cell : layout.cells) {
    for (const StripReading& r : cell.readings)
      squares_m2 += (r.offset_m - cell.mean_m) * (r.offset_m - cell.mean_m);
    freedom += static_cast<int>(cell.readings.size()) - 1;
  }
  return std::sqrt(squares_m2 / freedom);
}

/// Run means and rows by least squares on cell means; the last row is minus the sum of the others.
struct TwoWay {
  Eigen::VectorXd beta;     // runs, then all rows but the last
  Eigen::MatrixXd inverse;  // of the normal equations
  double cell_m2 = 0.0;     // variance of a cell mean
  int freedom = 0;
};

TwoWay two_way(const Layout& layout, double scatter_m, const StripFitRules& rules) {
  const int runs = static_cast<int>(layout.speeds_mps.size());
  const int rows = static_cast<int>(layout.rows.size());
  const int unknowns = runs + rows - 1;
  Eigen::MatrixXd design =
      Eigen::MatrixXd::Zero(static_cast<Eigen::Index>(layout.cells.size()), unknowns);
  Eigen::VectorXd means(design.rows());
  double reading_share = 0.0;  // mean of 1/bands
  for (Eigen::Index c = 0; c < design.rows(); ++c) {
    const Cell& cell = layout.cells[static_cast<std::size_t>(c)];
    design(c, cell.run) = 1.0;
    if (cell.row < rows - 1)
      design(c, runs + cell.row) = 1.0;
    else
      for (int row = 0; row < rows - 1; ++row) design(c, runs + row) = -1.0;
    means(c) = cell.mean_m;
    reading_share += 1.0 / static_cast<double>(cell.readings.size());
  }
  const Eigen::MatrixXd normal = design.transpose() * design;
  const Eigen::FullPivLU<Eigen::MatrixXd> solver(normal);
  if (!solver.isInvertible())
    text::fail({rules.file, 0, {}}, "row",
               "no row was read in common by all runs: read the same rows");
  TwoWay fit;
  fit.inverse = solver.inverse();
  fit.beta = fit.inverse * (design.transpose() * means);
  fit.freedom = static_cast<int>(design.rows()) - unknowns;
  // One row has no scatter about the layout: the scatter of its bands is used instead.
  fit.cell_m2 = fit.freedom > 0 ? (means - design * fit.beta).squaredNorm() / fit.freedom
                                : scatter_m * scatter_m * reading_share / double(design.rows());
  return fit;
}

void find_trims(const Layout& layout, const TwoWay& both, StripFit& fit) {
  const auto runs = static_cast<Eigen::Index>(layout.speeds_mps.size());
  const auto rows = static_cast<Eigen::Index>(layout.rows.size());
  fit.recovered_ratio = fit.row_before_sd_m = fit.row_after_sd_m = statistics::kNone_ratio;
  if (rows < 2 || both.freedom < 1) return;
  const double t_ratio = statistics::student_quantile_ratio(kTwoSided95_frac, both.freedom);
  double spread_m2 = 0.0;
  double noise_m2 = 0.0;
  for (Eigen::Index row = 0; row < rows; ++row) {
    Eigen::VectorXd pick = Eigen::VectorXd::Zero(both.beta.size());
    if (row < rows - 1)
      pick(runs + row) = 1.0;
    else
      pick.tail(rows - 1).setConstant(-1.0);
    const double ahead_m = pick.dot(both.beta);
    const double variance_m2 = pick.dot(both.inverse * pick) * both.cell_m2;
    fit.trims.push_back(
        {layout.rows[static_cast<std::size_t>(row)], -ahead_m, t_ratio * std::sqrt(variance_m2)});
    spread_m2 += ahead_m * ahead_m;
    noise_m2 += variance_m2;
  }
  // Rows sum to zero, so both sums contain rows - 1 independent differences.
  spread_m2 /= static_cast<double>(rows - 1);
  noise_m2 /= static_cast<double>(rows - 1);
  fit.row_after_sd_m = std::sqrt(noise_m2);
  fit.row_before_sd_m = std::sqrt(std::max(0.0, spread_m2 - noise_m2));
  if (spread_m2 > noise_m2)
    fit.recovered_ratio = std::max(0.0, 1.0 - noise_m2 / (spread_m2 - noise_m2));
}

void find_law(const Layout& layout, const TwoWay& both, const StripFitRules& rules, StripFit& fit) {
  const auto runs = static_cast<Eigen::Index>(layout.speeds_mps.size());
  Eigen::MatrixXd design(runs, 2);
  for (Eigen::Index run = 0; run < runs; ++run)
    design.row(run) << layout.speeds_mps[static_cast<std::size_t>(run)], 1.0;
  const Eigen::Matrix2d normal = design.transpose() * design;
  const Eigen::Matrix2d inverse = normal.inverse();
  const Eigen::VectorXd run_means = both.beta.head(runs);
  const Eigen::Vector2d law = inverse * (design.transpose() * run_means);
  double run_m2 = 0.0;  // of a run's mean about the line
  double limit_ratio = statistics::normal_quantile_ratio(kTwoSided95_frac);
  fit.run_freedom = static_cast<int>(runs) - 2;
  fit.run_error_seen = fit.run_freedom > 0;
  if (fit.run_error_seen) {
    run_m2 = (run_means - design * law).squaredNorm() / fit.run_freedom;
    limit_ratio = statistics::student_quantile_ratio(kTwoSided95_frac, fit.run_freedom);
    fit.run_sd_m = std::sqrt(run_m2);
  } else {
    fit.run_sd_m = rules.assumed_run_sd_m;
    run_m2 = rules.assumed_run_sd_m * rules.assumed_run_sd_m +
             both.cell_m2 * both.inverse.diagonal().head(runs).mean();
  }
  const Eigen::Matrix2d covariance = inverse * run_m2;
  fit.time_s = law(0);
  fit.distance_m = law(1);
  fit.time_half_s = limit_ratio * std::sqrt(covariance(0, 0));
  fit.distance_half_m = limit_ratio * std::sqrt(covariance(1, 1));
  fit.correlation_ratio = inverse(0, 1) / std::sqrt(inverse(0, 0) * inverse(1, 1));
  for (const double speed_mps : {layout.speeds_mps.front(), layout.speeds_mps.back()}) {
    const Eigen::Vector2d at(speed_mps, 1.0);
    fit.offsets.push_back(
        {speed_mps, at.dot(law), limit_ratio * std::sqrt(at.dot(covariance * at))});
  }
}

}  // namespace

StripFit fit_strip(std::span<const StripReading> readings, const StripFitRules& rules) {
  StripFit fit;
  Layout layout = layout_of(readings);
  require_workable(layout, rules);
  leave_out_outliers(layout, fit);
  require_workable(layout, rules);
  for (Cell& cell : layout.cells) {
    for (const StripReading& r : cell.readings) cell.mean_m += r.offset_m;
    cell.mean_m /= static_cast<double>(cell.readings.size());
    fit.readings += static_cast<int>(cell.readings.size());
  }
  fit.runs = static_cast<int>(layout.speeds_mps.size());
  fit.rows = static_cast<int>(layout.rows.size());
  fit.scatter_m = within_m(layout);
  const TwoWay both = two_way(layout, fit.scatter_m, rules);
  find_trims(layout, both, fit);
  find_law(layout, both, rules, fit);
  return fit;
}

}  // namespace sim::delay
