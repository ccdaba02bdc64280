#include "sim/study/valve/valve_programme.h"

#include <tbb/parallel_for.h>

#include <algorithm>
#include <cmath>

#include "model/valve/copper.h"
#include "sim/scenario/loader.h"
#include "sim/study/valve/valve_bursts.h"

namespace sim::valve {
namespace {

constexpr double kLifted_ratio = 0.01;  // of the travel
constexpr double kShortestTo_s = 10e-6;
constexpr double kLongestOn_s = 0.25;

rig::TimedPulse alone(const rig::RigSetup& setup, const rig::ValveConditions& conditions,
                      double on_s, const std::atomic<bool>* stop,
                      rig::ValveHistory* history = nullptr) {
  return rig::drive_valve(setup, conditions, even_train(on_s, 1.0, 1), kSettle_s, stop, history)[0];
}

std::vector<double> widths_of(const rig::RigSetup& setup) {
  if (!setup.programme.widths_s.empty()) {
    std::vector<double> widths_s = setup.programme.widths_s;
    std::sort(widths_s.begin(), widths_s.end());
    return widths_s;
  }
  std::vector<double> widths_s;
  for (int k = 4; k < 32; ++k) widths_s.push_back(0.25e-3 * k);  // 1 to 7.75 ms
  for (int k = 8; k <= 30; ++k) widths_s.push_back(1e-3 * k);
  return widths_s;
}

/// Every run of the programme as a task of its own; results are placed where they belong.
class Tasks {
 public:
  void add(std::function<void()> task) { tasks_.push_back(std::move(task)); }
  void run() {
    tbb::parallel_for(std::size_t{0}, tasks_.size(), [&](std::size_t k) { tasks_[k](); });
    tasks_.clear();
  }

 private:
  std::vector<std::function<void()>> tasks_;
};

void add_conditions(const rig::RigSetup& setup, ValveProgramme& programme, Tasks& tasks,
                    const std::atomic<bool>* stop) {
  const rig::ValveConditions nominal = rig::conditions_of(setup);
  for (const double supply_v : setup.programme.voltages_v) {
    programme.voltages.push_back({.conditions = nominal, .pulse = {}});
    programme.voltages.back().conditions.supply_v = supply_v;
  }
  for (const double coil_k : setup.programme.coil_temperatures_k) {
    programme.temperatures.push_back({.conditions = nominal, .pulse = {}});
    programme.temperatures.back().conditions.coil_k = coil_k;
  }
  std::vector<double> pressures_pa = setup.programme.pressures_pa;
  if (pressures_pa.empty())
    pressures_pa = {0.5 * setup.supply_pa, setup.supply_pa, 1.5 * setup.supply_pa};
  for (const double pressure_pa : pressures_pa) {
    programme.pressures.push_back({.conditions = nominal, .pulse = {}});
    programme.pressures.back().conditions.pressure_pa = pressure_pa;
  }
  for (std::vector<ConditionRun>* runs :
       {&programme.voltages, &programme.temperatures, &programme.pressures})
    for (ConditionRun& run : *runs)
      tasks.add([&setup, &run, stop] {
        run.pulse = alone(setup, run.conditions, setup.drive.on_time_s, stop);
      });
}

void add_lifts(const rig::RigSetup& setup, ValveProgramme& programme, Tasks& tasks) {
  const double from_a = rig::opening_current(setup).needed_a;
  const double most_a = setup.drive.supply_v / programme.resistance_ohm;
  const double to_a =
      setup.drive.current_limit_a > 0.0 ? std::min(setup.drive.current_limit_a, most_a) : most_a;
  const int steps = setup.programme.lift_steps;
  if (to_a <= from_a) return;
  for (int k = 0; k <= steps; ++k)
    programme.lifts.push_back({.current_a = from_a + (to_a - from_a) * k / steps});
  for (rig::HeldLift& held : programme.lifts)
    tasks.add([&setup, &held] {
      held = rig::held_lift(setup, rig::conditions_of(setup), held.current_a);
    });
}

double shortest_passing_s(const rig::RigSetup& setup, const std::atomic<bool>* stop) {
  const double travel_m = setup.part.valve.plunger.travel_m;
  const auto passes = [&](double on_s) {
    return alone(setup, rig::conditions_of(setup), on_s, stop).largest_lift_m >
           kLifted_ratio * travel_m;
  };
  double low_s = 0.0, high_s = kLongestOn_s;
  if (!passes(high_s)) return std::numeric_limits<double>::quiet_NaN();
  while (high_s - low_s > kShortestTo_s) {
    const double middle_s = 0.5 * (low_s + high_s);
    (passes(middle_s) ? high_s : low_s) = middle_s;
  }
  return high_s;
}

void find_rates(ValveProgramme& programme) {
  const rig::RigSetup& setup = programme.setup;
  const model::Valve& valve = setup.part.valve;
  const double rate_hz = 1.0 / setup.drive.period_s;
  programme.leak_m3ps = model::leak_m3pspa(valve, setup.liquid.liquid) * setup.supply_pa;
  const double shortest_m3 =
      programme.line.found
          ? programme.line.slope_m3ps * (programme.line.from_s - programme.line.dead_s)
          : std::numeric_limits<double>::quiet_NaN();
  programme.smallest_m3 = programme.leak_m3ps / rate_hz + shortest_m3;
  const double longest_s = setup.drive.period_s - programme.shortest_closed_s;
  programme.highest_m3ps =
      programme.line.found && longest_s > programme.line.dead_s
          ? programme.line.slope_m3ps * (longest_s - programme.line.dead_s) * rate_hz
          : std::numeric_limits<double>::quiet_NaN();
  programme.hours_so_far_s = valve.wear.cycles_ratio / rate_hz;
  programme.used_ratio =
      model::wear_share_ratio(valve.wear, setup.liquid.liquid.abrasiveness_ratio);
  programme.left =
      model::life_left(valve.wear, setup.liquid.liquid.abrasiveness_ratio,
                       {.pulse_rate_hz = rate_hz, .dose_m3 = programme.repeat.dose_mean_m3});
  for (const RepetitionRun& run : programme.repetitions) {
    if (run.error_ratio > setup.programme.dose_error_ratio) break;
    programme.highest_repetition_hz = run.rate_hz;
  }
}

void check_setup(const rig::RigSetup& setup) {
  if (setup.inlet != rig::RigInlet::kChain)
    throw text::InputError(setup.name +
                           ": `valve` needs hose and valve; this setup has an [inlet] " +
                           "in their place: take [inlet] out");
  constexpr double kLongestDrive_s = 1.0, kLongestTrain_s = 600.0;
  if (setup.drive.on_time_s > kLongestDrive_s)
    throw text::InputError(
        setup.name + ": drive.on_time: `valve` runs pulses of at most \"1 s\"; take a shorter one");
  const double train_s = setup.drive.period_s * setup.programme.pulses;
  if (train_s > kLongestTrain_s)
    throw text::InputError(setup.name +
                           ": drive.period: " + std::to_string(setup.programme.pulses) +
                           " pulses of the repeatability would take " +
                           text::format_quantity(train_s, text::Kind::kTime, "s", 4) +
                           ", at most \"600 s\": take fewer programme.pulses or a shorter period");
}

void refuse_shut(const ValveProgramme& programme) {
  if (programme.nominal.first_motion_s == programme.nominal.first_motion_s) return;
  const rig::RigSetup& setup = programme.setup;
  if (rig::opening_current(setup).opens())
    throw text::InputError(
        setup.name + ": drive.on_time: the valve never opens: \"" +
        text::format_quantity(setup.drive.on_time_s, text::Kind::kTime, "ms") +
        "\" ends before the coil has pulled the plunger off its seat; take longer");
  throw text::InputError(
      setup.name + ": " + rig::cannot_open_words(setup) +
      "; lower supply.pressure or valve.plunger.preload, or raise valve.coil.supply "
      "to \"" +
      text::format_quantity(std::ceil(programme.lowest_voltage_v), text::Kind::kVoltage, "V") +
      "\" and valve.coil.current_limit beyond what is needed");
}

}  // namespace

ValveProgramme run_valve_programme(const rig::RigSetup& given, const std::atomic<bool>* stop) {
  check_setup(given);
  ValveProgramme programme{.setup = given};
  rig::RigSetup& setup = programme.setup;
  std::sort(setup.programme.repetitions_hz.begin(), setup.programme.repetitions_hz.end());
  const model::RowUnitParams row = rig::row_of(setup);
  const model::Coil& coil = setup.part.valve.coil;
  programme.resistance_ohm = model::copper_ohm(coil.resistance_ohm, coil.temperature_k);
  programme.lowest_voltage_v = rig::opening_current(setup).needed_a * programme.resistance_ohm;
  programme.steady_m3ps = model::steady_flow_m3ps(row, setup.supply_pa, row.valve.plunger.travel_m);
  programme.lift = model::lift_verdict(row, setup.supply_pa);
  try {
    programme.nominal =
        alone(setup, rig::conditions_of(setup), setup.drive.on_time_s, stop, &programme.history);
    refuse_shut(programme);
    programme.widths_s = widths_of(setup);
    programme.doses_m3.resize(programme.widths_s.size());
    Tasks tasks;
    for (std::size_t k = 0; k < programme.widths_s.size(); ++k)
      tasks.add([&programme, k, stop] {
        programme.doses_m3[k] =
            alone(programme.setup, rig::conditions_of(programme.setup), programme.widths_s[k], stop)
                .dose_m3;
      });
    add_conditions(setup, programme, tasks, stop);
    add_lifts(setup, programme, tasks);
    tasks.add([&] { programme.shortest_passing_s = shortest_passing_s(setup, stop); });
    tasks.add([&] { programme.shortest_closed_s = shortest_closed_s(setup, stop); });
    tasks.add([&] { programme.repeat = run_repeatability(setup, stop); });
    tasks.run();
    programme.line =
        dose_line(programme.widths_s, programme.doses_m3, setup.programme.linear_error_ratio);
    programme.repetitions.resize(setup.programme.repetitions_hz.size());
    for (std::size_t k = 0; k < programme.repetitions.size(); ++k)
      tasks.add([&programme, k, stop] {
        programme.repetitions[k] =
            run_repetition(programme.setup, programme.setup.programme.repetitions_hz[k],
                           programme.shortest_closed_s, stop);
      });
    tasks.run();
  } catch (const std::invalid_argument& error) {
    throw text::InputError(setup.name + ": " + error.what());
  }
  find_rates(programme);
  return programme;
}

}  // namespace sim::valve
