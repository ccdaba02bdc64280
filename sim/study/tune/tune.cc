#include "sim/study/tune/tune.h"

#include <oneapi/tbb/parallel_for.h>
#include <oneapi/tbb/partitioner.h>

#include <algorithm>
#include <cmath>
#include <mutex>

#include "model/furrow/outlet_jet.h"
#include "model/reproducible_math.h"
#include "model/row/row_unit.h"
#include "model/seed/delivery.h"
#include "shared/units.h"
#include "sim/bench/judged_work.h"
#include "sim/bench/line_form.h"
#include "sim/bench/pulse_train.h"
#include "sim/bench/row_fixed.h"
#include "sim/scenario/rate_zones.h"
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
  double opening_s = 0.0;  // from the command to the plunger's stop; 0: not known
};

bench::PulseTrain settled_train(const scenario::Scenario& scenario, double speed_mps,
                                double pressure_pa) {
  bench::PulseTrain train = bench::train_at(scenario, speed_mps, pressure_pa);
  train.pulses = kTrainPulses;
  return train;
}

/// Mean lead and lag of the settled pulses, with the on time that follows from them.
LeadLag measure_lead_lag(const scenario::Scenario& scenario, double speed_mps, double pressure_pa) {
  if (scenario.row.physics == scenario::RowPhysics::kIdeal)
    return {scenario.row.opening_delay_s + scenario.row.flight_time_s,
            scenario.row.closing_delay_s + scenario.row.flight_time_s};
  const model::RowUnitParams row = bench::nominal_liquid_path(scenario);
  model::RowUnit unit = bench::unit_for_trains(row, scenario.solver);
  bench::PulseTrain train = settled_train(scenario, speed_mps, pressure_pa);
  LeadLag found;
  for (int pass = 0; pass < kPasses; ++pass) {
    train.on_time_s = bench::on_time_within_s(
        scenario.rate.band_length_m / speed_mps + found.lead_s - found.lag_s, train);
    const std::vector<bench::TrainPulse> pulses = bench::run_train(unit, row, train);
    LeadLag sum;
    for (int k = kTrainPulses - kSettledPulses; k < kTrainPulses; ++k) {
      sum.lead_s += pulses[static_cast<std::size_t>(k)].lead_s / kSettledPulses;
      sum.lag_s += pulses[static_cast<std::size_t>(k)].lag_s / kSettledPulses;
      sum.opening_s += pulses[static_cast<std::size_t>(k)].opening_s / kSettledPulses;
    }
    // the valve does not open at this pressure
    if (!std::isfinite(sum.lead_s) || !std::isfinite(sum.lag_s)) break;
    found = sum;
  }
  return found;
}

/// The smallest value, to 10 us, for which `holds` is true; it must be false below and true above.
template <typename Holds>
double smallest_s(double low_s, double high_s, const Holds& holds) {
  while (high_s - low_s > 10e-6) {
    const double middle_s = 0.5 * (low_s + high_s);
    (holds(middle_s) ? high_s : low_s) = middle_s;
  }
  return high_s;
}

/// A longer step than the usual one rounds the instant at which the plunger seats.
model::SolverParams seating_solver(const scenario::Scenario& scenario) {
  model::SolverParams solver = scenario.solver;
  solver.step_ns = std::min(solver.step_ns, model::SolverParams{}.step_ns);
  return solver;
}

// The two shortest times are found as on a valve's sheet (valve_programme.h), with the row's
// driver, which switches off fast, at the row's pressure.

/// Shortest on time that lifts the plunger to its stop.
double shortest_on_s(const scenario::Scenario& scenario, double pressure_pa, double speed_mps) {
  if (scenario.row.physics == scenario::RowPhysics::kIdeal) return 500e-6;
  const model::RowUnitParams row = bench::nominal_liquid_path(scenario);
  model::RowUnit unit = bench::unit_for_trains(row, seating_solver(scenario));
  bench::PulseTrain train = bench::train_at(scenario, speed_mps, pressure_pa);
  return smallest_s(0.1e-3, 20e-3, [&](double on_time_s) {
    train.on_time_s = on_time_s;
    return bench::run_train(unit, row, train)[0].largest_lift_m >=
           0.99 * row.valve.plunger.travel_m;
  });
}

/// Shortest closed time: the smallest gap between two commands in which the plunger still seats.
double shortest_gap_s(const scenario::Scenario& scenario, double pressure_pa, double speed_mps) {
  if (scenario.row.physics == scenario::RowPhysics::kIdeal)
    return std::max(0.0, scenario.row.closing_delay_s - scenario.row.opening_delay_s);
  const model::RowUnitParams row = bench::nominal_liquid_path(scenario);
  model::RowUnit unit = bench::unit_for_trains(row, seating_solver(scenario));
  bench::PulseTrain train = bench::train_at(scenario, speed_mps, pressure_pa);
  train.pulses = 2;
  train.on_time_s = 10e-3;
  train.scatter_ratio = 0.0;  // the gap that is tried must be exact
  train.least_gap_s = 0.0;
  return smallest_s(0.0, 20e-3, [&](double gap_s) {
    train.period_s = train.on_time_s + gap_s;
    return bench::run_train(unit, row, train)[0].least_lift_after_m <=
           kSeated_ratio * row.valve.plunger.travel_m;
  });
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
/// speed, and the two shortest times.
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
  static constexpr int kParts = SILLION_TABLE_POINTS + 3;
  const std::function<void(double done_ratio)>& on_progress_;
  std::mutex one_at_a_time_;
  int parts_done_ = 0;
};

/// Where a point of the table lies.
struct PointPlace {
  double flow_m3ps = 0.0;
  double speed_mps = 0.0;
  double pressure_pa = 0.0;
};

std::vector<PointPlace> places_of_points(const scenario::Scenario& scenario,
                                         const TableSpan& span) {
  const bool ideal = scenario.row.physics == scenario::RowPhysics::kIdeal;
  const SpeedRange range = ideal ? SpeedRange{} : speeds_of_table(scenario, span);
  std::vector<PointPlace> places;
  for (int k = 0; k < SILLION_TABLE_POINTS; ++k) {
    const double at_rate_mps = point_speed_mps(range, span, k);
    PointPlace place;
    place.flow_m3ps = scenario.rate.in_band_m3pm2 * scenario.row.width_m * at_rate_mps;
    place.speed_mps = std::clamp(at_rate_mps, span.slowest_mps, span.fastest_mps);
    place.pressure_pa = ideal ? scenario.supply.pressure_pa
                              : std::max(pressure_for_flow_pa(scenario, place.flow_m3ps),
                                         scenario.supply.pressure_min_pa);
    places.push_back(place);
  }
  return places;
}

/// What the trains of a table find.
struct Trains {
  LeadLag at_speed;                        // the judged speed
  LeadLag at_point[SILLION_TABLE_POINTS];  // not measured where the delay is given
  double shortest_on_s = 0.0;
  double shortest_gap_s = 0.0;
};

/// No train needs another's result, so all run in parallel. The shortest times, which take longest,
/// begin first.
Trains run_trains(const scenario::Scenario& scenario, const std::vector<PointPlace>& places,
                  double speed_mps, double pressure_pa, TuneProgress& progress) {
  constexpr std::size_t kOthers = 3;
  const bool given = scenario.controller.delay == scenario::DelaySource::kGiven;
  Trains found;
  const auto run_part = [&](std::size_t part) {
    if (part == 0) {
      found.shortest_on_s = shortest_on_s(scenario, pressure_pa, speed_mps);
    } else if (part == 1) {
      found.shortest_gap_s = shortest_gap_s(scenario, pressure_pa, speed_mps);
    } else if (part == 2) {
      found.at_speed = measure_lead_lag(scenario, speed_mps, pressure_pa);
    } else if (!given) {
      const PointPlace& at = places[part - kOthers];
      found.at_point[part - kOthers] = measure_lead_lag(scenario, at.speed_mps, at.pressure_pa);
    }
    progress.part_done();
  };
  // Where the caller fails elsewhere, a loop without a context of its own ends early, without a
  // word, and a table of half its trains would be kept.
  oneapi::tbb::task_group_context whole(oneapi::tbb::task_group_context::isolated);
  oneapi::tbb::parallel_for(std::size_t{0}, places.size() + kOthers, run_part,
                            oneapi::tbb::simple_partitioner(), whole);
  return found;
}

void fill_points(const scenario::Scenario& scenario, const std::vector<PointPlace>& places,
                 const Trains& found, TunedTable& tuned) {
  sillion_attachment_table& table = tuned.table;
  const bool given = scenario.controller.delay == scenario::DelaySource::kGiven;
  table.points = SILLION_TABLE_POINTS;
  // A valve that does not come to its stop at some flow has no openings to be trimmed by.
  const bool states_opening = !given && std::ranges::all_of(found.at_point, [](const LeadLag& at) {
    return std::isfinite(at.opening_s) && at.opening_s > 0.0;
  });
  for (std::size_t k = 0; k < places.size(); ++k) {
    const PointPlace& place = places[k];
    const LeadLag at = given ? LeadLag{tuned.lead_s, tuned.lag_s} : found.at_point[k];
    table.flow_mm3ps[k] = static_cast<std::int32_t>(std::llround(place.flow_m3ps * 1e9));
    table.pressure_pa[k] = static_cast<std::int32_t>(std::llround(place.pressure_pa));
    table.current_ma[k] =
        static_cast<std::int32_t>(std::llround(scenario.attachment.hold_current_a * 1e3));
    const double throw_s = tuned.throw_m / place.speed_mps;
    table.lead_us[k] = micro(at.lead_s - throw_s);
    table.opening_us[k] = states_opening ? micro(found.at_point[k].opening_s) : 0;
    table.lag_us[k] = micro((scenario.controller.ignore_lag ? at.lead_s : at.lag_s) - throw_s);
  }
}

/// What an ideal valve takes between shut and open again is not known: half a millisecond is added.
void fill_shortest(const scenario::Scenario& scenario, const Trains& found, TunedTable& tuned) {
  constexpr std::int32_t kIdealClosed_us = 500;
  tuned.table.shortest_on_us = micro(found.shortest_on_s);
  tuned.table.shortest_closed_us = micro(found.shortest_gap_s);
  if (scenario.row.physics == scenario::RowPhysics::kIdeal)
    tuned.table.shortest_closed_us += kIdealClosed_us;
  tuned.shortest_closed_s = tuned.table.shortest_closed_us * 1e-6;
}

/// The law of the delay, from what the judged speed needs.
void take_lead_lag(const scenario::Scenario& scenario, double speed_mps, const LeadLag& at_speed,
                   TunedTable& tuned) {
  const bool given = scenario.controller.delay == scenario::DelaySource::kGiven;
  tuned.lead_s = given ? scenario.controller.lead_s : at_speed.lead_s;
  tuned.lag_s = given ? scenario.controller.lag_s : at_speed.lag_s;
  if (scenario.row.physics != scenario::RowPhysics::kIdeal && !given)
    tuned.throw_m = throw_of_m(scenario, tuned.pressure_pa);
  fill_delay_law(scenario, speed_mps, tuned);
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
  bench::PulseTrain train = settled_train(scenario, speed_mps, tuned.pressure_pa);
  train.on_time_s = bench::on_time_within_s(
      scenario.rate.band_length_m / speed_mps + tuned.lead_s - tuned.lag_s, train);
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

TunedTable tune(const scenario::Scenario& asked, const TableSpan& asked_span,
                const std::function<void(double done_ratio)>& on_progress) {
  const scenario::Scenario scenario = bench::with_line_form(asked);
  TableSpan span = asked_span;  // and the rates of all zones
  span.lowest_ratio *= scenario::least_share_ratio(scenario.rate);
  span.highest_ratio *= scenario::most_share_ratio(scenario.rate);
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
  if (scenario.controller.delay == scenario::DelaySource::kTable) {
    take_lead_lag(scenario, speed_mps, measure_lead_lag(scenario, speed_mps, tuned.pressure_pa),
                  tuned);
    progress.part_done();
    take_given_table(scenario, speed_mps, tuned);
    return tuned;
  }
  const std::vector<PointPlace> places = places_of_points(scenario, span);
  const Trains found = run_trains(scenario, places, speed_mps, tuned.pressure_pa, progress);
  take_lead_lag(scenario, speed_mps, found.at_speed, tuned);
  sillion_attachment_table& table = tuned.table;
  table.delay_time_us = micro(tuned.delay_time_s);
  table.delay_distance_um = micro(tuned.delay_distance_m);
  table.reference_band_um = micro(scenario.rate.band_length_m);
  table.reference_lead_us = micro(tuned.lead_s - tuned.throw_m / speed_mps);
  table.lift_settable = tuned.lift_settable ? 1 : 0;
  fill_points(scenario, places, found, tuned);
  fill_shortest(scenario, found, tuned);
  return tuned;
}

}  // namespace sim::tune
