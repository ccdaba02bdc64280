#include "sim/study/delay/delay_fit.h"

#include <algorithm>
#include <cmath>

#include "sim/scenario/loader.h"
#include "sim/statistics/least_squares.h"

namespace sim::delay {
namespace {

// Points of the correction for rest, seconds since the last closing. The echoes of the column fade
// within some tens of milliseconds; beyond the last point a pulse counts as alone.
constexpr double kRestPoints_s[SILLION_CORRECTION_POINTS] = {5e-3, 10e-3, 18e-3, 35e-3};

/// Weights of a value between the points of a list, as the controller interpolates.
struct Between {
  int low = 0;
  int high = 0;
  double high_ratio = 0.0;
};

Between between(std::span<const double> points, double at) {  // tidy: unit the points'
  const auto last = static_cast<int>(points.size()) - 1;
  if (last == 0 || at <= points[0]) return {0, 0, 0.0};
  if (at >= points[static_cast<std::size_t>(last)]) return {last, last, 0.0};
  int low = 0;
  while (points[static_cast<std::size_t>(low) + 1] < at) ++low;
  const double from = points[static_cast<std::size_t>(low)];    // tidy: unit the points'
  const double to = points[static_cast<std::size_t>(low) + 1];  // tidy: unit the points'
  return {low, low + 1, (at - from) / (to - from)};
}

/// Unknowns over one variable: the lead's from `first` on, then as many of the lag. `zero` is the
/// point whose value is zero by definition (-1: none).
struct Family {
  std::vector<double> points;  // tidy: unit the variable's
  int zero = -1;
  int first = 0;

  int count() const { return static_cast<int>(points.size()) - (zero >= 0 ? 1 : 0); }
  int unknown(int point, bool closing) const {
    if (point == zero) return -1;
    const int index = zero >= 0 && point > zero ? point - 1 : point;
    return first + (closing ? count() : 0) + index;
  }
  void enter(double at, double speed_mps, bool closing,  // tidy: unit the variable's
             std::vector<statistics::DesignEntry>& row) const {
    const Between where = between(points, at);
    const int low = unknown(where.low, closing), high = unknown(where.high, closing);
    if (low >= 0) row.push_back({low, speed_mps * (1.0 - where.high_ratio)});
    if (high >= 0 && where.high_ratio > 0.0) row.push_back({high, speed_mps * where.high_ratio});
  }
};

/// The points of a list that some condition lies near; the residuals could not determine others.
std::vector<double> met_points(std::span<const double> points,  // tidy: unit the variable's
                               std::span<const double> values) {
  std::vector<bool> met(points.size(), false);
  for (const double value : values) {  // tidy: unit the variable's
    const Between where = between(points, value);
    met[static_cast<std::size_t>(where.low)] = true;
    if (where.high_ratio > 0.0) met[static_cast<std::size_t>(where.high)] = true;
  }
  std::vector<double> kept;
  for (std::size_t k = 0; k < points.size(); ++k)
    if (met[k]) kept.push_back(points[k]);
  return kept;
}

Family family_of(std::span<const double> points, std::span<const double> values, double reference,
                 int& next) {  // tidy: unit the variable's
  Family family;
  family.points = met_points(points, values);
  for (std::size_t k = 0; k < family.points.size(); ++k)
    if (family.points[k] == reference) family.zero = static_cast<int>(k);
  if (family.zero < 0 || family.points.size() < 2) {
    family.points = {reference};
    family.zero = 0;
  }
  family.first = next;
  next += 2 * family.count();
  return family;
}

/// Whether any point of a family differs from zero by more than its interval.
bool told_apart(const statistics::LeastSquares& squares, const Family& family) {
  for (int k = 0; k < static_cast<int>(family.points.size()); ++k)
    for (const bool closing : {false, true}) {
      const int unknown = family.unknown(k, closing);
      if (unknown >= 0 && std::fabs(squares.value(unknown)) > squares.half_width(unknown))
        return true;
    }
  return false;
}

struct Model {
  Family flow, voltage, viscosity, rest;
  int unknowns = 0;

  void design(const SeenCondition& at, const SeenBand& band, bool closing,
              std::vector<statistics::DesignEntry>& row) const {
    const double speed_mps = at.condition.speed_mps;
    row.clear();
    row.push_back({0, 1.0});
    flow.enter(at.flow_m3ps, speed_mps, closing, row);
    voltage.enter(at.condition.voltage_v, speed_mps, closing, row);
    viscosity.enter(at.viscosity_pas, speed_mps, closing, row);
    rest.enter(band.rest_s, speed_mps, closing, row);
  }
};

/// Points of the table at which its lead and lag may shift. A shift needs several flows near its
/// point, and every flow at more than one speed; else a distance error would look the same.
std::vector<int> knots_of(std::vector<double> flows_m3ps, int points) {
  std::sort(flows_m3ps.begin(), flows_m3ps.end());
  const auto distinct = std::unique(flows_m3ps.begin(), flows_m3ps.end()) - flows_m3ps.begin();
  const int wanted = distinct >= 24 ? points : distinct >= 9 ? std::min(points, 4) : 2;
  std::vector<int> knots;
  for (int k = 0; k < wanted; ++k) knots.push_back(k * (points - 1) / (wanted - 1));
  return knots;
}

Model model_of(std::span<const SeenCondition> seen, const sillion_attachment_table& table,
               const FitReferences& references, const Kept& kept) {
  std::vector<double> flows, voltages, viscosities, rests, points;
  for (const SeenCondition& one : seen) {
    flows.push_back(one.flow_m3ps);
    voltages.push_back(one.condition.voltage_v);
    viscosities.push_back(one.viscosity_pas);
    for (const SeenBand& band : one.bands) rests.push_back(band.rest_s);
  }
  for (const int k : knots_of(flows, table.points)) points.push_back(table.flow_mm3ps[k] * 1e-9);
  Model model;
  int next = 1;  // unknown 0 is the distance
  model.flow.points = met_points(points, flows);
  model.flow.first = next;
  next += 2 * model.flow.count();
  const double last_s = kRestPoints_s[SILLION_CORRECTION_POINTS - 1];
  const auto family = [&](bool wanted, std::span<const double> all,  // tidy: unit the variable's
                          std::span<const double> values, double reference) {
    return family_of(wanted ? all : std::span(&reference, 1), values, reference, next);
  };
  model.voltage = family(kept.voltage, references.voltages_v, voltages, references.voltage_v);
  model.viscosity =
      family(kept.viscosity, references.viscosities_pas, viscosities, references.viscosity_pas);
  model.rest = family(kept.rest, kRestPoints_s, rests, last_s);
  model.unknowns = next;
  return model;
}

bool solve(std::span<const SeenCondition> seen, const Model& model,
           statistics::LeastSquares& squares) {
  std::vector<statistics::DesignEntry> row;
  for (const SeenCondition& one : seen)
    for (const SeenBand& band : one.bands) {
      if (!band.alone) continue;
      model.design(one, band, false, row);
      squares.take(row, band.start_error_m, band.cluster);
      model.design(one, band, true, row);
      squares.take(row, band.end_error_m, band.cluster);
    }
  return squares.solve();
}

struct Solved {
  Model model;
  statistics::LeastSquares squares;
};

/// Fits all that is to be kept; corrections that few passes cannot separate are left out in steps.
Solved solved(std::span<const SeenCondition> seen, const sillion_attachment_table& table,
              const FitReferences& references, Kept& kept) {
  const Kept tries[] = {kept, {false, kept.viscosity, false}, {false, false, false}};
  for (const Kept& one : tries) {
    const Model model = model_of(seen, table, references, one);
    statistics::LeastSquares squares(model.unknowns);
    if (!solve(seen, model, squares)) continue;
    kept = one;
    return {model, squares};
  }
  throw text::InputError(
      "tuning: lead, lag and distance cannot be told apart at these speeds, rates and "
      "temperatures; nearest workable: tuning.speeds = 4, tuning.rates = 3, or a wider range of "
      "speeds");
}

double ends_rms_m(std::span<const SeenCondition> seen) {
  double squares_m2 = 0.0;
  long long count = 0;
  for (const SeenCondition& one : seen)
    for (const SeenBand& band : one.bands) {
      if (!band.alone) continue;
      squares_m2 += band.start_error_m * band.start_error_m + band.end_error_m * band.end_error_m;
      count += 2;
    }
  return count == 0 ? 0.0 : std::sqrt(squares_m2 / static_cast<double>(count));
}

double found_s(const statistics::LeastSquares& squares, const Family& family, int point,
               bool closing) {
  const int unknown = family.unknown(point, closing);
  return unknown < 0 ? 0.0 : squares.value(unknown);
}

/// Writes one correction's points; `scale` brings them to the table's unit.
void write_correction(const statistics::LeastSquares& squares, const Family& family,
                      double scale_ratio, sillion_correction& correction) {
  correction = {};
  if (family.points.size() < 2) return;
  correction.points = static_cast<std::int32_t>(family.points.size());
  for (int k = 0; k < correction.points; ++k) {
    correction.at[k] = static_cast<std::int32_t>(
        std::llround(family.points[static_cast<std::size_t>(k)] * scale_ratio));
    correction.lead_us[k] = micro(found_s(squares, family, k, false));
    correction.lag_us[k] = micro(found_s(squares, family, k, true));
  }
}

/// Where the lead does not show the viscosity but the pressures need it, the points of `from` stay,
/// with no shift. Pressure factors stay with their viscosities; points that no pass came near are
/// gone.
void write_viscosity(const statistics::LeastSquares& squares, const Family& family,
                     const sillion_attachment_table& from, sillion_attachment_table& table) {
  write_correction(squares, family, 1e6, table.viscosity);
  if (table.viscosity.points == 0) {
    table.viscosity = from.viscosity;
    return;
  }
  for (int k = 0; k < table.viscosity.points; ++k)
    for (int old = 0; old < from.viscosity.points; ++old)
      if (from.viscosity.at[old] == table.viscosity.at[k])
        table.viscosity_pressure_q12[k] = from.viscosity_pressure_q12[old];
}

/// Lead and lag at every point of flow; points that no condition came near take a neighbour's
/// shift.
void write_flow(const statistics::LeastSquares& squares, const Family& flow,
                sillion_attachment_table& table, DelayFit& fit) {
  const std::int32_t lead0_us = table.reference_lead_us;
  double reference_shift_s = 0.0;
  double nearest_us = 1e12;
  for (int k = 0; k < table.points; ++k) {
    const double at_m3ps = table.flow_mm3ps[k] * 1e-9;
    const Between where = between(flow.points, at_m3ps);
    const auto shift_s = [&](bool closing) {
      return found_s(squares, flow, where.low, closing) * (1.0 - where.high_ratio) +
             found_s(squares, flow, where.high, closing) * where.high_ratio;
    };
    for (const bool closing : {false, true})
      fit.largest_lead_half_s =
          std::max(fit.largest_lead_half_s, squares.half_width(flow.unknown(where.low, closing)));
    const double off_us = std::fabs(table.lead_us[k] - lead0_us);
    if (off_us < nearest_us) {
      nearest_us = off_us;
      reference_shift_s = shift_s(false);
    }
    table.lead_us[k] += micro(shift_s(false));
    table.lag_us[k] += micro(shift_s(true));
  }
  table.reference_lead_us += micro(reference_shift_s);
  table.delay_time_us -= micro(reference_shift_s);
}

}  // namespace

LawError law_error_of(std::span<const SeenCondition> seen) {
  statistics::LeastSquares squares(2);
  for (const SeenCondition& one : seen)
    for (const SeenBand& band : one.bands) {
      if (!band.alone) continue;
      const statistics::DesignEntry row[] = {{0, 1.0}, {1, one.condition.speed_mps}};
      squares.take(row, band.error_m, band.cluster);
    }
  if (!squares.solve())
    throw text::InputError(
        "tuning: bands at one speed cannot tell a time error from a distance error; nearest "
        "workable: two speeds, the slower at most 0.7 of the faster");
  return {{squares.value(1), squares.half_width(1)},
          {squares.value(0), squares.half_width(0)},
          squares.correlation_ratio(0, 1)};
}

DelayFit fit_delay(std::span<const SeenCondition> seen, const sillion_attachment_table& table,
                   const FitReferences& references) {
  DelayFit fit;
  fit.whole = law_error_of(seen);
  fit.before_rms_m = ends_rms_m(seen);
  for (const SeenCondition& one : seen) fit.bands += static_cast<long long>(one.bands.size());

  Kept all;
  const Solved first = solved(seen, table, references, all);
  fit.kept = {told_apart(first.squares, first.model.voltage),
              told_apart(first.squares, first.model.viscosity),
              told_apart(first.squares, first.model.rest)};
  const Solved second = solved(seen, table, references, fit.kept);
  const Model& model = second.model;
  const statistics::LeastSquares& squares = second.squares;
  fit.after_rms_m = squares.residual_rms();
  fit.clusters = squares.clusters();

  fit.table = table;
  write_flow(squares, model.flow, fit.table, fit);
  fit.table.delay_distance_um -= micro(squares.value(0));
  write_correction(squares, model.voltage, 1e3, fit.table.voltage);
  write_correction(squares, model.rest, 1e6, fit.table.rest);
  write_viscosity(squares, model.viscosity, table, fit.table);
  fit.table.check_sum = 0;
  return fit;
}

}  // namespace sim::delay
