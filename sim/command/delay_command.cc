// `delay`: the delay table of an attachment, its files and its first sentence.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <optional>

#include "sim/command/attachment_input.h"
#include "sim/command/exit_code.h"
#include "sim/command/machine_pace.h"
#include "sim/command/options.h"
#include "sim/command/out_lock.h"
#include "sim/command/progress.h"
#include "sim/command/strip_test_command.h"
#include "sim/output/delay_tables.h"
#include "sim/output/holding_words.h"
#include "sim/output/shown_units.h"
#include "sim/scenario/loader.h"
#include "sim/study/delay.h"
#include "sim/study/tune.h"
#include "sim/study/valve_opens.h"

namespace sim {
namespace {

void print_speeds(const DelayStudy& study) {
  std::fputs(fmt::format("{:>9}{:>10}{:>9}{:>9}{:>18}{:>9}{:>9}{:>9}{:>9}\n", "km/h", "D ms",
                         "on ms", "bar", "residual mm", "sd mm", "floor", "10mm", "25mm")
                 .c_str(),
             stdout);
  for (const DelaySpeed& at : study.speeds) {
    std::string line = fmt::format("{:>9.1f}", at.speed_mps * 3.6);
    if (!at.servable) {
      line += fmt::format("  not servable: the smallest outlet offset that serves is {:.1f} mm\n",
                          at.smallest_offset_m * 1e3);
    } else {
      line += fmt::format(
          "{:>10.2f}{:>9.2f}{:>9.2f}{:>10.2f} +- {:<4.2f}{:>9.2f}{:>9.2f}{:>8.1f}%"
          "{:>8.1f}%\n",
          at.delay_s * 1e3, at.on_s * 1e3, at.pressure_pa * 1e-5, at.mean.value_m * 1e3,
          at.mean.half_m * 1e3, at.trimmed_sd_m * 1e3, at.floor_sd_m * 1e3,
          at.trimmed[0].share_ratio * 100.0, at.trimmed[1].share_ratio * 100.0);
    }
    std::fputs(line.c_str(), stdout);
  }
}

void print_measured(const DelayStudy& study) {
  if (!study.measured) return;
  const MeasuredLaw& law = *study.measured;
  std::fputs(fmt::format("joined with {} measured points: a = {:.2f} +- {:.2f} ms, b = {:.1f} +- "
                         "{:.1f} mm; the simulated law {}\n",
                         law.points.size(), law.law.time_s * 1e3, law.time_half_s * 1e3,
                         law.law.distance_m * 1e3, law.distance_half_m * 1e3,
                         law.prior_used ? "took part" : "contradicts them and was left out")
                 .c_str(),
             stdout);
  for (const JudgedPoint& one : law.points)
    if (one.outlier)
      std::fputs(fmt::format("  outlier, left out: line {} ({:.1f} km/h, offset {:+.1f} mm)\n",
                             one.point.line, one.point.speed_mps * 3.6, one.point.offset_m * 1e3)
                     .c_str(),
                 stdout);
}

/// A valve that stays shut has no delay: said before any pass.
void require_opening(const Scenario& scenario) {
  const double flow_m3ps =
      scenario.rate.in_band_m3pm2 * scenario.row.width_m * scenario.tuning.slowest_mps;
  const double pressure_pa =
      std::max(pressure_for_flow_pa(scenario, flow_m3ps), scenario.supply.pressure_min_pa);
  if (valve_opens(scenario, pressure_pa)) return;
  const auto volt = [](double voltage_v) {
    return shown(voltage_v, Measure::kVoltage, Units::kMetric);
  };
  const double least_v = opening_voltage_v(scenario, pressure_pa);
  throw InputError(scenario.name + ": supply.voltage: the valve cannot open at " +
                   volt(scenario.supply.voltage_v) + " and " +
                   shown(pressure_pa, Measure::kPressure, Units::kMetric) +
                   (std::isnan(least_v) ? ": its spring is stronger than the current that is held "
                                          "(attachment.hold_current)"
                                        : "; it opens from " + volt(least_v)));
}

double work_of(const DelayInputs& inputs, const DelayPlan& plan) {  // tidy: unit row-seconds
  double sum = 0.0;                                                 // tidy: unit row-seconds
  const Scenario& scenario = inputs.scenario;
  for (const auto* list : {&plan.fit, &plan.report})
    for (const DelayCondition& one : *list)
      sum += scenario.row.count * (2.5 + static_cast<double>(scenario.tuning.seeds) /
                                             scenario.row.count * one.spacing_m / one.speed_mps);
  return sum;
}

}  // namespace

int delay_command(const CommandOptions& options, const std::atomic<bool>& stop) {
  const DelayInputs inputs = delay_inputs(options.input, options.scenario, options.sets);
  const std::filesystem::path out =
      options.out.empty() ? std::filesystem::path("out") / (inputs.scenario.name + "_delay")
                          : options.out;
  if (options.strip_test) {
    const OutLock lock(out, options.typed);
    return strip_test(inputs.scenario, {.readings = options.readings,
                                        .out = out,
                                        .units = options.units,
                                        .json = options.json,
                                        .slowest_mps = inputs.scenario.tuning.slowest_mps,
                                        .fastest_mps = inputs.scenario.tuning.fastest_mps});
  }
  if (options.grade != "simulated" && options.points.empty())
    throw InputError("--grade: \"" + options.grade + "\" needs --points: what was measured");
  std::optional<PointsToJoin> points;
  if (!options.points.empty())
    points = read_points_to_join(options.points, options.grade, options.date);
  const DelayPlan plan = plan_delay_study(inputs);
  require_opening(inputs.scenario);
  const double row_s = work_of(inputs, plan);
  if (options.dry_run) {
    const Pace pace = measured_pace({&inputs.scenario, 1});
    const double all_s =
        row_s * pace.of(inputs.scenario).row_second_s + pace.of(inputs.scenario).tuning_s;
    std::fputs(fmt::format("{}: {} passes for the fit, {} for the report, about 40 for the valid "
                           "box; {:.0f} simulated row-seconds, {}; about 0.1 MB in {}\n",
                           inputs.scenario.name, plan.fit.size(), plan.report.size(), row_s,
                           time_words(all_s, all_s / cores_in_use()), out.string())
                   .c_str(),
               stdout);
    return kHeld;
  }
  const OutLock lock(out, options.typed);
  Progress progress(
      inputs.scenario.name,
      {.row_s = row_s,
       .wall_s = row_s * usual_pace().of(inputs.scenario).row_second_s / cores_in_use()},
      options.quiet || options.json);
  DelayStudy study = run_delay_study(
      inputs, {.stop = &stop, .on_progress = [&](double done_ratio) { progress.at(done_ratio); }});
  if (points) join_points(study, *points);
  seal(study);
  const Grade grade = grade_of(delay_file_of(study), inputs.scenario.attachment);
  if (options.grade != "simulated" && !grade.why_not.empty())
    throw InputError("--grade: \"" + options.grade + "\" is refused: " + grade.why_not);
  write_delay(study, out, options.units);
  const int code = std::isnan(study.fastest.holds_mps) ? kViolated : kHeld;
  if (options.json) {
    std::fputs(delay_summary_json(study).c_str(), stdout);
    return code;
  }
  std::fputs((delay_sentence(study, options.units) + "\n  judged by: " +
              holding_words(study.scenario, study.plan.judging, options.units) + "\n")
                 .c_str(),
             stdout);
  print_speeds(study);
  print_measured(study);
  const std::string box = valid_box_words(study, options.units);
  if (!grade.why_not.empty())
    std::fputs(("no grade in the catalog: " + grade.why_not + "\n").c_str(), stdout);
  std::fputs(fmt::format("valid box: {}\ntable: {}\nsheet: {}\n", box.empty() ? "none" : box,
                         (out / "delay.toml").string(), (out / "sheet.html").string())
                 .c_str(),
             stdout);
  return code;
}

}  // namespace sim
