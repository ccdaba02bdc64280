#include "sim/study/tune/tune.h"

#include <oneapi/tbb/parallel_for.h>

#include <algorithm>
#include <cmath>
#include <mutex>

#include "model/furrow/outlet_jet.h"
#include "model/reproducible_math.h"
#include "model/row/row_unit.h"
#include "model/seed/delivery.h"
#include "shared/units.h"
#include "sim/bench/line_form.h"
#include "sim/bench/pulse_train.h"
#include "sim/bench/row_fixed.h"
#include "sim/scenario/table_seal.h"
#include "sim/study/tune/table_reading.h"

namespace sim::tune {
namespace {

constexpr int kSettledPulses = 16;  // the mean is over one round of the train's scores
// by then the oscillation of the first pulses has reached its settled size
constexpr int kTrainPulses = 4 + kSettledPulses;
// on time and lead depend on each other: two more rounds change less than 1 us
constexpr int kPasses = 3;

constexpr double kSeated_ratio = 0.01;  // of the travel; the stop counts as reached at 0.99

std::int32_t micro(double value) { return static_cast<std::int32_t>(std::llround(value * 1e6)); }

struct LeadLag {
  double lead_s = 0.0;
  double lag_s = 0.0;
};

bench::PulseTrain train_at(const scenario::Scenario& scenario, double speed_mps,
                           double pressure_pa) {
  bench::PulseTrain train;
  train.pressure_pa = pressure_pa;
  train.voltage_v = scenario.supply.voltage_v;
  train.current_limit_a = scenario.attachment.hold_current_a;
  train.ground_speed_mps = speed_mps;
  train.jet = scenario.attachment.jet;
  train.pulses = kTrainPulses;
  train.scatter_ratio = scenario.seeding.meter.scatter_ratio;
  train.period_s = scenario.seeding.meter.spacing_m / speed_mps;
  return train;
}

/// Mean lead and lag of the settled pulses, with the on time that follows from them.
LeadLag measure_lead_lag(const scenario::Scenario& scenario, double speed_mps, double pressure_pa) {
  if (scenario.row.physics == scenario::RowPhysics::kIdeal)
    return {scenario.row.opening_delay_s + scenario.row.flight_time_s,
            scenario.row.closing_delay_s + scenario.row.flight_time_s};
  bench::PulseTrain train = train_at(scenario, speed_mps, pressure_pa);
  LeadLag found;
  for (int pass = 0; pass < kPasses; ++pass) {
    // where bands would run into each other, the on time is limited to 0.9 of the period so that
    // they stay apart
    train.on_time_s =
        std::clamp(scenario.rate.band_length_m / speed_mps + found.lead_s - found.lag_s, 1e-3,
                   0.9 * train.period_s);
    const std::vector<bench::TrainPulse> pulses =
        bench::run_train(bench::nominal_liquid_path(scenario), scenario.solver, train);
    LeadLag sum;
    for (int k = kTrainPulses - kSettledPulses; k < kTrainPulses; ++k) {
      sum.lead_s += pulses[static_cast<std::size_t>(k)].lead_s / kSettledPulses;
      sum.lag_s += pulses[static_cast<std::size_t>(k)].lag_s / kSettledPulses;
    }
    // the valve does not open at this pressure
    if (!std::isfinite(sum.lead_s) || !std::isfinite(sum.lag_s)) break;
    found = sum;
  }
  return found;
}

/// Shortest on time that lifts the plunger to its stop, and shortest closed time: the smallest gap
/// between two commands in which the plunger still seats. Both are found as on a valve's sheet
/// (valve_programme.h), with the row's driver, which switches off fast, at the row's pressure.
void find_shortest(const scenario::Scenario& scenario, double pressure_pa, double speed_mps,
                   sillion_attachment_table& table) {
  if (scenario.row.physics == scenario::RowPhysics::kIdeal) {
    table.shortest_on_us = 500;
    table.shortest_closed_us =
        static_cast<std::int32_t>(std::llround(
            std::max(0.0, scenario.row.closing_delay_s - scenario.row.opening_delay_s) * 1e6)) +
        500;
    return;
  }
  const model::RowUnitParams row = bench::nominal_liquid_path(scenario);
  // A longer step rounds the instant at which the plunger seats.
  model::SolverParams solver = scenario.solver;
  solver.step_ns = std::min(solver.step_ns, model::SolverParams{}.step_ns);
  bench::PulseTrain train = train_at(scenario, speed_mps, pressure_pa);
  train.pulses = 1;
  double low_s = 0.1e-3, high_s = 20e-3;
  while (high_s - low_s > 10e-6) {
    train.on_time_s = 0.5 * (low_s + high_s);
    const auto pulses = bench::run_train(row, solver, train);
    (pulses[0].largest_lift_m >= 0.99 * row.valve.plunger.travel_m ? high_s : low_s) =
        train.on_time_s;
  }
  table.shortest_on_us = static_cast<std::int32_t>(std::llround(high_s * 1e6));

  train.pulses = 2;
  train.on_time_s = 10e-3;
  train.scatter_ratio = 0.0;  // the gap that is tried must be exact
  train.least_gap_s = 0.0;
  low_s = 0.0;
  high_s = 20e-3;
  while (high_s - low_s > 10e-6) {
    const double gap_s = 0.5 * (low_s + high_s);
    train.period_s = train.on_time_s + gap_s;
    const auto pulses = bench::run_train(row, solver, train);
    (pulses[0].least_lift_after_m <= kSeated_ratio * row.valve.plunger.travel_m ? high_s : low_s) =
        gap_s;
  }
  table.shortest_closed_us = static_cast<std::int32_t>(std::llround(high_s * 1e6));
}

void fill_delay_law(const scenario::Scenario& scenario, double speed_mps, TunedTable& tuned) {
  const double band_m = scenario.rate.band_length_m;
  const model::DeliveryParams& delivery = scenario.delivery;
  double time_s = -(tuned.lead_s - tuned.throw_m / speed_mps);
  double distance_m = scenario.attachment.outlet_offset_m - tuned.throw_m - 0.5 * band_m;
  if (delivery.kind == model::DeliveryKind::kConveyorGeared) {
    distance_m += delivery.path_m / delivery.gear_ratio;
  } else {
    time_s += model::nominal_delivery_time_s(delivery, speed_mps) +
              model::mean_bounce_m(delivery, speed_mps) / speed_mps;
  }
  if (scenario.controller.delay == scenario::DelaySource::kGiven) {
    time_s = scenario.controller.delay_time_s;
    distance_m = scenario.controller.delay_distance_m;
  }
  tuned.delay_time_s = time_s + scenario.controller.delay_time_error_s;
  tuned.delay_distance_m = distance_m + scenario.controller.delay_distance_error_m;
  tuned.delay_at_speed_s = tuned.delay_time_s + tuned.delay_distance_m / speed_mps;
  const double delivery_s = model::nominal_delivery_time_s(delivery, speed_mps);
  tuned.smallest_offset_m = 0.5 * band_m + speed_mps * (tuned.lead_s - delivery_s);
  tuned.servable = tuned.delay_at_speed_s >= 0.0;
}

/// The distance that the jet's own speed adds along the row: its reach from an outlet at rest.
double throw_of_m(const scenario::Scenario& scenario, double pressure_pa) {
  const model::RowUnitParams row = bench::nominal_liquid_path(scenario);
  const double area_m2 = shared::kPi_ratio / 4.0 * row.outlet.bore_m * row.outlet.bore_m;
  const double jet_mps = model::steady_flow_m3ps(row, pressure_pa, row.valve.plunger.travel_m) /
                         (row.outlet.discharge_coefficient_ratio * area_m2);
  return model::jet_reach_m(jet_mps, 0.0, scenario.attachment.jet);
}

struct SpeedRange {
  double slowest_mps = 4.0 / 3.6;
  double fastest_mps = 21.0 / 3.6;
};

/// Row speeds for which pressure sets the rate. Outside them the regulator is at an end of its
/// range, and the firmware could not distinguish two points of the table by their pressure.
SpeedRange speeds_of_table(const scenario::Scenario& scenario, const TableSpan& span) {
  const model::RowUnitParams row = bench::nominal_liquid_path(scenario);
  const double flow_per_speed_m2 = scenario.rate.in_band_m3pm2 * scenario.row.width_m;
  const auto speed_at_mps = [&](double pressure_pa) {
    return model::steady_flow_m3ps(row, pressure_pa, row.valve.plunger.travel_m) /
           flow_per_speed_m2;
  };
  const SpeedRange range{
      std::max(span.slowest_mps * span.lowest_ratio, speed_at_mps(scenario.supply.pressure_min_pa)),
      std::min(span.fastest_mps * span.highest_ratio, speed_at_mps(scenario.supply.pressure_pa))};
  return range.slowest_mps < 0.9 * range.fastest_mps ? range : SpeedRange{};
}

/// Row speed at which the scenario's rate needs the flow of point k of the table.
double point_speed_mps(const SpeedRange& range, const TableSpan& span, int k) {
  const double share_ratio = static_cast<double>(k) / (SILLION_TABLE_POINTS - 1);
  if (span.lowest_ratio == 1.0 && span.highest_ratio == 1.0)
    return range.slowest_mps + (range.fastest_mps - range.slowest_mps) * share_ratio;
  return range.slowest_mps *
         model::exp_of(share_ratio * model::log_of(range.fastest_mps / range.slowest_mps));
}

/// Progress of the tuning. Its parts take about the same time: each point of the table, the judged
/// speed, and the shortest times.
class TuneProgress {
 public:
  explicit TuneProgress(const std::function<void(double done_ratio)>& on_progress)
      : on_progress_(on_progress) {}
  void part_done() {
    if (!on_progress_) return;
    const std::lock_guard lock(one_at_a_time_);
    on_progress_(static_cast<double>(++parts_done_) / kParts);
  }

 private:
  static constexpr int kParts = SILLION_TABLE_POINTS + 2;
  const std::function<void(double done_ratio)>& on_progress_;
  std::mutex one_at_a_time_;
  int parts_done_ = 0;
};

/// Point k of the table: flow, pressure, lead and lag of the settled row.
void fill_point(const scenario::Scenario& scenario, const TableSpan& span, const SpeedRange& range,
                int k, TunedTable& tuned) {
  sillion_attachment_table& table = tuned.table;
  const bool ideal = scenario.row.physics == scenario::RowPhysics::kIdeal;
  const bool given = scenario.controller.delay == scenario::DelaySource::kGiven;
  const double at_rate_mps = point_speed_mps(range, span, k);
  const double flow_m3ps = scenario.rate.in_band_m3pm2 * scenario.row.width_m * at_rate_mps;
  const double speed_mps = std::clamp(at_rate_mps, span.slowest_mps, span.fastest_mps);
  const double pressure_pa =
      ideal ? scenario.supply.pressure_pa
            : std::max(pressure_for_flow_pa(scenario, flow_m3ps), scenario.supply.pressure_min_pa);
  const LeadLag found = given ? LeadLag{tuned.lead_s, tuned.lag_s}
                              : measure_lead_lag(scenario, speed_mps, pressure_pa);
  table.flow_mm3ps[k] = static_cast<std::int32_t>(std::llround(flow_m3ps * 1e9));
  table.pressure_pa[k] = static_cast<std::int32_t>(std::llround(pressure_pa));
  table.current_ma[k] =
      static_cast<std::int32_t>(std::llround(scenario.attachment.hold_current_a * 1e3));
  const double throw_s = tuned.throw_m / speed_mps;
  table.lead_us[k] = micro(found.lead_s - throw_s);
  table.lag_us[k] = micro((scenario.controller.ignore_lag ? found.lead_s : found.lag_s) - throw_s);
}

/// All points of the table; each is a separate train, so they run in parallel.
void fill_points(const scenario::Scenario& scenario, const TableSpan& span, TunedTable& tuned,
                 TuneProgress& progress) {
  const bool ideal = scenario.row.physics == scenario::RowPhysics::kIdeal;
  const SpeedRange range = ideal ? SpeedRange{} : speeds_of_table(scenario, span);
  tuned.table.points = SILLION_TABLE_POINTS;
  oneapi::tbb::parallel_for(0, static_cast<int>(SILLION_TABLE_POINTS), [&](int k) {
    fill_point(scenario, span, range, k, tuned);
    progress.part_done();
  });
}

/// A table from a file is loaded into the controller as it is; errors that a scenario adds on
/// purpose give it a new check sum.
void take_given_table(const scenario::Scenario& scenario, double speed_mps, TunedTable& tuned) {
  sillion_attachment_table table = scenario.controller.given;
  table.delay_time_us += micro(scenario.controller.delay_time_error_s);
  table.delay_distance_um += micro(scenario.controller.delay_distance_error_m);
  if (scenario.controller.ignore_lag)
    for (int k = 0; k < table.points; ++k) table.lag_us[k] = table.lead_us[k];
  tuned.table = scenario::sealed_table(table);
  const TableReading at = read_table(table, tuned.flow_m3ps);
  tuned.delay_time_s = table.delay_time_us * 1e-6;
  tuned.delay_distance_m = table.delay_distance_um * 1e-6;
  tuned.delay_at_speed_s = pulse_order(table, tuned.flow_m3ps, speed_mps).delay_s;
  tuned.lead_s = at.lead_s + tuned.throw_m / speed_mps;
  tuned.lag_s = at.lag_s + tuned.throw_m / speed_mps;
  tuned.smallest_offset_m =
      scenario.attachment.outlet_offset_m - speed_mps * tuned.delay_at_speed_s;
  tuned.servable = tuned.delay_at_speed_s >= 0.0;
  tuned.shortest_closed_s = table.shortest_closed_us * 1e-6;
}

}  // namespace

double still_shift_s(const scenario::Scenario& asked, const TunedTable& tuned) {
  if (asked.row.physics == scenario::RowPhysics::kIdeal) return 0.0;
  const scenario::Scenario scenario = bench::with_line_form(asked);
  const double speed_mps = judged_speed_mps(scenario);
  const model::RowUnitParams row = bench::nominal_liquid_path(scenario);
  bench::PulseTrain train = train_at(scenario, speed_mps, tuned.pressure_pa);
  train.on_time_s = std::clamp(scenario.rate.band_length_m / speed_mps + tuned.lead_s - tuned.lag_s,
                               1e-3, 0.9 * train.period_s);
  const std::vector<bench::TrainPulse> pulses = bench::run_train(row, scenario.solver, train);
  double settled_m = 0.0;
  for (std::size_t k = kTrainPulses - kSettledPulses; k < pulses.size(); ++k)
    settled_m += pulses[k].band.centre_x_ground_m / kSettledPulses;
  train.pulses = 1;
  const double still_m =
      bench::run_train(row, scenario.solver, train).front().band.centre_x_ground_m;
  const double shift_s = (settled_m - still_m) / speed_mps;
  return std::isfinite(shift_s) ? shift_s : 0.0;  // the valve does not open at this pressure
}

TunedTable tune(const scenario::Scenario& asked, const TableSpan& span,
                const std::function<void(double done_ratio)>& on_progress) {
  const scenario::Scenario scenario = bench::with_line_form(asked);
  TunedTable tuned;
  TuneProgress progress(on_progress);
  const double speed_mps = judged_speed_mps(scenario);
  const double flow_per_speed_m2 = scenario.rate.in_band_m3pm2 * scenario.row.width_m;
  const bool ideal = scenario.row.physics == scenario::RowPhysics::kIdeal;
  const model::RowUnitParams row = bench::nominal_liquid_path(scenario);
  const auto held_pressure_pa = [&](double flow_m3ps) {
    return std::max(pressure_for_flow_pa(scenario, flow_m3ps), scenario.supply.pressure_min_pa);
  };

  tuned.flow_m3ps = flow_per_speed_m2 * speed_mps;
  tuned.largest_flow_m3ps =
      ideal ? HUGE_VAL
            : model::steady_flow_m3ps(row, scenario.supply.pressure_pa, row.valve.plunger.travel_m);
  tuned.serves_rate = tuned.largest_flow_m3ps >= tuned.flow_m3ps;
  tuned.pressure_pa = held_pressure_pa(tuned.flow_m3ps);
  if (!ideal) {
    const model::LiftVerdict lift = model::lift_verdict(row, scenario.supply.pressure_pa);
    tuned.lift_settable = lift.settable;
    tuned.spring_rate_needed_npm = lift.spring_rate_needed_npm;
    tuned.fit = model::RowUnit(row, scenario.solver, tuned.pressure_pa).fit();
  }
  const LeadLag at_speed = measure_lead_lag(scenario, speed_mps, tuned.pressure_pa);
  const bool given = scenario.controller.delay == scenario::DelaySource::kGiven;
  tuned.lead_s = given ? scenario.controller.lead_s : at_speed.lead_s;
  tuned.lag_s = given ? scenario.controller.lag_s : at_speed.lag_s;
  if (!ideal && !given) tuned.throw_m = throw_of_m(scenario, tuned.pressure_pa);
  fill_delay_law(scenario, speed_mps, tuned);
  progress.part_done();

  if (scenario.controller.delay == scenario::DelaySource::kTable) {
    take_given_table(scenario, speed_mps, tuned);
    return tuned;
  }
  sillion_attachment_table& table = tuned.table;
  table.delay_time_us = micro(tuned.delay_time_s);
  table.delay_distance_um = micro(tuned.delay_distance_m);
  table.reference_band_um = micro(scenario.rate.band_length_m);
  table.reference_lead_us = micro(tuned.lead_s - tuned.throw_m / speed_mps);
  table.lift_settable = tuned.lift_settable ? 1 : 0;
  fill_points(scenario, span, tuned, progress);
  find_shortest(scenario, tuned.pressure_pa, speed_mps, table);
  progress.part_done();
  tuned.shortest_closed_s = table.shortest_closed_us * 1e-6;
  return tuned;
}

}  // namespace sim::tune
