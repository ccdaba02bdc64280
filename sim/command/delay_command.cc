// `delay`: the delay table of an attachment, its files and its first sentence.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <memory>
#include <optional>

#include "sim/command/attachment_input.h"
#include "sim/command/commands.h"
#include "sim/command/exit_code.h"
#include "sim/command/kept_findings.h"
#include "sim/command/machine_pace.h"
#include "sim/command/out_lock.h"
#include "sim/command/outside_world.h"
#include "sim/command/progress.h"
#include "sim/command/strip_test_command.h"
#include "sim/command/study_ledger.h"
#include "sim/output/shown_units.h"
#include "sim/scenario/loader.h"
#include "sim/scenario/table_seal.h"
#include "sim/study/delay/delay.h"
#include "sim/study/delay/delay_box.h"
#include "sim/study/delay/delay_tables.h"
#include "sim/study/delay/holding.h"
#include "sim/study/delay/holding_words.h"
#include "sim/study/delay/seen_record.h"
#include "sim/study/tune/tune.h"
#include "sim/study/tune/valve_opens.h"

namespace sim::command {
namespace {

struct DelayOptions : AttachmentOptions {
  std::filesystem::path points;           // measured points to join in
  std::string grade = "simulated", date;  // of the points
  bool strip_test = false;
  std::filesystem::path readings;  // with strip_test: tape readings
  bool resume = false;
  bool dry_run = false;
};

void define_delay(CommandWords& words, DelayOptions& options) {
  add_attachment_options(words, options);
  words.path("--points", options.points,
             "CSV of measured points to join with the study: speed, delay, offset, uncertainty");
  words.choice("--grade", options.grade, {"simulated", "bench", "field"},
               "grade that the points give to the table: simulated, bench or field");
  words.text("--date", options.date,
             "day of the measurement, which the grades bench and field need, such as 2026-04-18");
  words.flag("--strip-test", options.strip_test,
             "plan a strip test with dyed water and print its sheet; run no study");
  words.path("--readings", options.readings,
             "with --strip-test: the filled-in CSV of tape readings");
  add_resume_option(words, options.resume, "passes");
  add_dry_run_option(words, options.dry_run);
  words.examples({"sillion delay \"short rake\" --scenario scenarios/demo.toml",
                  "sillion delay \"swan neck\" --scenario scenarios/demo.toml --set "
                  "tuning.speeds=6 --json"});
}

void print_speeds(const delay::DelayStudy& study, output::Units units) {
  const output::ShownUnit speed = output::shown_unit(output::Measure::kSpeed, units);
  const output::ShownUnit place = output::shown_unit(output::Measure::kPlace, units);
  const output::ShownUnit pressure = output::shown_unit(output::Measure::kPressure, units);
  const std::string unit(place.word);
  const int decimals = units == output::Units::kUs ? 3 : 2;
  const auto number = [&](double length_m) {
    return output::shown_number(length_m, place, decimals);
  };
  std::fputs(
      fmt::format("{:>9}{:>10}{:>9}{:>9}{:>20}{:>9}{:>9}{:>9}{:>9}\n", speed.word, "D ms", "on ms",
                  pressure.word, "residual " + unit, "sd " + unit, "floor", "10mm", "25mm")
          .c_str(),
      stdout);
  for (const delay::DelaySpeed& at : study.speeds) {
    std::string line = fmt::format("{:>9}", output::shown_number(at.speed_mps, speed, 1));
    if (!at.servable) {
      line += "  not servable: the smallest outlet offset that would serve is " +
              output::shown(at.smallest_offset_m, output::Measure::kPlace, units) + "\n";
    } else {
      line += fmt::format("{:>10.2f}{:>9.2f}{:>9}{:>20}{:>9}{:>9}{:>8.1f}%{:>8.1f}%\n",
                          at.delay_s * 1e3, at.on_s * 1e3,
                          output::shown_number(at.pressure_pa, pressure, pressure.decimals),
                          number(at.mean.value_m) + " +- " + number(at.mean.half_m),
                          number(at.trimmed_sd_m), number(at.floor_sd_m),
                          at.trimmed[0].share_ratio * 100.0, at.trimmed[1].share_ratio * 100.0);
    }
    std::fputs(line.c_str(), stdout);
  }
}

void print_measured(const delay::DelayStudy& study, output::Units units) {
  if (!study.measured) return;
  const delay::MeasuredLaw& law = *study.measured;
  std::fputs(
      fmt::format("joined with {} measured points: a = {:.2f} +- {:.2f} ms, b = {} +- {}; the "
                  "simulated law {}\n",
                  law.points.size(), law.law.time_s * 1e3, law.time_half_s * 1e3,
                  output::shown(law.law.distance_m, output::Measure::kPlace, units),
                  output::shown(law.distance_half_m, output::Measure::kPlace, units),
                  law.prior_used ? "took part" : "contradicts them and was left out")
          .c_str(),
      stdout);
  for (const delay::JudgedPoint& one : law.points)
    if (one.outlier)
      std::fputs(
          fmt::format("  outlier, left out: line {} ({}, offset {})\n", one.point.line,
                      output::shown(one.point.speed_mps, output::Measure::kSpeed, units),
                      output::shown_signed(one.point.offset_m, output::Measure::kPlace, units))
              .c_str(),
          stdout);
}

constexpr double kPassEnds_s = 2.5;  // before the first seed and after the last
constexpr int kTrialSeeds = 10;      // of each row: long enough for the clock
/// What a row takes beside three others of its pass, over what it takes alone.
constexpr double kSideBySide_ratio = 0.5;

/// A valve that stays shut has no delay: said before any pass.
void require_opening(const scenario::Scenario& scenario) {
  const double flow_m3ps =
      scenario.rate.in_band_m3pm2 * scenario.row.width_m * scenario.tuning.slowest_mps;
  const double pressure_pa =
      std::max(tune::pressure_for_flow_pa(scenario, flow_m3ps), scenario.supply.pressure_min_pa);
  if (tune::valve_opens(scenario, pressure_pa)) return;
  const auto volt = [](double voltage_v) {
    return output::shown(voltage_v, output::Measure::kVoltage, output::Units::kMetric);
  };
  const double least_v = tune::opening_voltage_v(scenario, pressure_pa);
  throw text::InputError(
      scenario.name + ": supply.voltage: the valve cannot open at " +
      volt(scenario.supply.voltage_v) + " and " +
      output::shown(pressure_pa, output::Measure::kPressure, output::Units::kMetric) +
      (std::isnan(least_v) ? ": its spring is stronger than the force of attachment.hold_current"
                           : "; it opens from " + volt(least_v)));
}

double row_time_of(const scenario::Scenario& scenario, const delay::DelayCondition& one) {
  const double seeds = one.seeds > 0 ? one.seeds  // tidy: unit seeds of a row
                                     : scenario.tuning.seeds / std::max(1, scenario.row.count);
  return scenario.row.count * (kPassEnds_s + seeds * one.spacing_m / one.speed_mps);
}

double work_of(const delay::DelayInputs& inputs,
               const delay::DelayPlan& plan) {  // tidy: unit row-seconds
  double sum = 0.0;                             // tidy: unit row-seconds
  for (const auto* list : {&plan.fit, &plan.report})
    for (const delay::DelayCondition& one : *list) sum += row_time_of(inputs.scenario, one);
  // Box and strips are at the judged speed, the search for the fastest is near it.
  delay::DelayCondition judged = delay::judged_condition(inputs, plan);
  sum += (delay::kBoxPasses + delay::kReportKeys * delay::kSpeedHalvings) *
         row_time_of(inputs.scenario, judged);
  judged.seeds = inputs.scenario.controller.strip_test_bands;
  return sum + delay::kReportKeys * row_time_of(inputs.scenario, judged);
}

/// Measured by the start table and one pass of the study, with all rows: side by side they take
/// less each than one alone.
double measured_work_s(const delay::DelayInputs& inputs, const delay::DelayPlan& plan,
                       double row_s) {
  const ProcessorTime tuning;
  const sillion_attachment_table table = delay::start_table(inputs, plan).table;
  const double tuning_s = tuning.spent_s();
  delay::DelayCondition one = delay::judged_condition(inputs, plan);
  one.seeds = kTrialSeeds;
  const ProcessorTime passing;
  delay::see_conditions(inputs, {one}, scenario::sealed_table(table));
  return tuning_s + passing.spent_s() * row_s / row_time_of(inputs.scenario, one);
}

int plan_strip_test(const DelayOptions& options, const delay::DelayInputs& inputs,
                    const std::filesystem::path& out) {
  const OutLock lock(out, options.typed);
  return strip_test(inputs.scenario, {.readings = options.readings,
                                      .out = out,
                                      .units = options.units,
                                      .json = options.json,
                                      .slowest_mps = inputs.scenario.tuning.slowest_mps,
                                      .fastest_mps = inputs.scenario.tuning.fastest_mps});
}

void print_size_of_work(const delay::DelayInputs& inputs, const delay::DelayPlan& plan,
                        double row_s, const std::filesystem::path& out) {
  const double all_s = measured_work_s(inputs, plan, row_s);
  std::fputs(
      fmt::format("{}: {} passes for the fit, {} for the report, about {} for the valid "
                  "box; {:.0f} simulated row-seconds, {}; about 0.1 MB in {}\n",
                  inputs.scenario.name, plan.fit.size(), plan.report.size(), delay::kBoxPasses,
                  row_s, time_words(all_s, all_s / cores_in_use()), out.string())
          .c_str(),
      stdout);
}

void print_study(const delay::DelayStudy& study, const scenario::Grade& grade,
                 const std::filesystem::path& out, output::Units units) {
  std::fputs((delay::delay_sentence(study, units) + "\n  judged by: " +
              delay::holding_words(study.scenario, study.plan.judging, units) + "\n")
                 .c_str(),
             stdout);
  print_speeds(study, units);
  print_measured(study, units);
  const std::string box = delay::valid_box_words(study, units);
  if (!grade.why_not.empty())
    std::fputs(("no grade in the catalog: " + grade.why_not + "\n").c_str(), stdout);
  std::fputs(fmt::format("valid box: {}\ntable: {}\nsheet: {}\n", box.empty() ? "none" : box,
                         (out / "delay.toml").string(), (out / "sheet.html").string())
                 .c_str(),
             stdout);
}

int execute_delay(const DelayOptions& options, const std::atomic<bool>& stop) {
  const delay::DelayInputs inputs = delay_inputs(options.input, options.scenario, options.sets);
  const std::filesystem::path out =
      options.out.empty() ? std::filesystem::path("out") / (inputs.scenario.name + "_delay")
                          : options.out;
  if (options.strip_test) return plan_strip_test(options, inputs, out);
  if (options.grade != "simulated" && options.points.empty())
    throw text::InputError("--grade: \"" + options.grade +
                           "\" needs --points, the file of what was measured");
  std::optional<delay::PointsToJoin> points;
  if (!options.points.empty())
    points = delay::read_points_to_join(options.points, options.grade, options.date);
  const delay::DelayPlan plan = delay::plan_delay_study(inputs);
  require_opening(inputs.scenario);
  const double row_s = work_of(inputs, plan);
  if (options.dry_run) {
    print_size_of_work(inputs, plan, row_s, out);
    return kHeld;
  }
  const OutLock lock(out, options.typed);
  const auto ledger = opened_ledger(out, delay::delay_owner(inputs.scenario), options.resume);
  tell_how_to_go_on(options);
  const PhysicsPace usual = usual_pace().of(inputs.scenario);
  Progress progress(
      inputs.scenario.name,
      {.row_s = row_s,
       .wall_s = row_s * usual.row_second_s *
                     (inputs.scenario.row.count < 4 ? 1.0 : kSideBySide_ratio) / cores_in_use() +
                 usual.tuning_s},
      options.hides_progress());
  delay::DelayStudy study = delay::run_delay_study(
      inputs, {.stop = &stop,
               .on_progress = [&](double done_ratio) { progress.at(done_ratio); },
               .ledger = ledger.get()});
  ledger->close();
  if (points) delay::join_points(study, *points);
  seal(study);
  const scenario::Grade grade =
      scenario::grade_of(delay::delay_file_of(study), inputs.scenario.attachment);
  if (options.grade != "simulated" && !grade.why_not.empty())
    throw text::InputError("--grade: \"" + options.grade + "\" is refused: " + grade.why_not);
  delay::write_delay(study, out, options.units);
  const int code = std::isnan(study.fastest.holds_mps) ? kViolated : kHeld;
  if (options.json) {
    std::fputs(delay::delay_summary_json(study).c_str(), stdout);
    return code;
  }
  print_study(study, grade, out, options.units);
  return code;
}

}  // namespace

Command delay_command() {
  const auto options = std::make_shared<DelayOptions>();
  return {
      .name = "delay",
      .description =
          "delay table of an attachment over speeds, with residuals, intervals and limits",
      .define = [options](CommandWords& words) { define_delay(words, *options); },
      .execute = [options](const std::atomic<bool>& stop) { return execute_delay(*options, stop); },
      .common = options.get(),
      .keeps = [options] { return kept_folder_of(options->out, options->dry_run); },
      .complete =
          [options] {
            if (!options->strip_test) complete_with_resume(*options, options->resume);
          },
      .many_passes = true};
}

}  // namespace sim::command
