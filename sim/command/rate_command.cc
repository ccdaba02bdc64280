// `rate`: what a plan comes to for a field, its tank, its machine and its seed.
#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cstdio>
#include <memory>

#include "sim/command/commands.h"
#include "sim/command/exit_code.h"
#include "sim/command/kept_findings.h"
#include "sim/command/out_lock.h"
#include "sim/command/progress.h"
#include "sim/output/shown_units.h"
#include "sim/output/write_folder.h"
#include "sim/study/rate/rate_passes.h"
#include "sim/study/rate/rate_sheet.h"
#include "sim/study/rate/rate_study.h"
#include "sim/study/rate/rate_words.h"

namespace sim::command {
namespace {

struct RateOptions : CommonOptions, ScenarioOptions {
  bool catch_test = false;
  bool passes = false;  // against passes over seeds
};

void define_rate(CommandWords& words, RateOptions& options) {
  add_common_options(words, options, "PLAN",
                     "plan file (TOML): a scenario with a field, a product and a crop");
  add_scenario_options(words, options);
  words.flag("--catch-test", options.catch_test,
             "also print how much to collect below each row in 30 s and in 500 pulses");
  words.flag("--passes", options.passes,
             "also compare the plan with passes over its seeds: an ideal row, and full physics");
  words.examples({"sillion rate scenarios/demo_plan.toml --units us --catch-test",
                  "sillion rate scenarios/demo_plan.toml --set plan.concentrate=0 --json"});
}

/// Names in one column that is as wide as the longest of them.
void print_lines(const std::vector<rate::RateLine>& lines) {
  std::size_t wide = 0;
  for (const rate::RateLine& line : lines) wide = std::max(wide, line.name.size());
  for (const rate::RateLine& line : lines)
    std::fputs(fmt::format("  {:<{}}  {}\n", line.name, wide, line.text).c_str(), stdout);
}

void print_zones(const rate::RateResult& result, output::Units units) {
  for (const rate::ZonePlan& one : result.zones)
    std::fputs(
        fmt::format(
            "  zone {:<20} {:>10} {:>14} in band, {}{}{}\n", one.zone.name,
            rate::shown_area(one.zone.area_m2, units),
            output::shown(one.zone.in_band_m3pm2, output::Measure::kRate, units),
            output::shown(one.delivery.pressure_pa, output::Measure::kPressure, units),
            one.delivery.served
                ? ""
                : "; cannot be served at this speed, only from " +
                      output::shown(one.delivery.slowest_mps, output::Measure::kSpeed, units) +
                      " to " +
                      output::shown(one.delivery.fastest_mps, output::Measure::kSpeed, units),
            one.rise_ahead_m > 0.0
                ? "; raise pressure " +
                      output::shown(one.rise_ahead_m, output::Measure::kDistance, units) + " ahead"
                : "")
            .c_str(),
        stdout);
}

/// To standard error where standard output holds one JSON document.
void print_passes(const rate::RateResult& result, output::Units units, std::FILE* to,
                  const std::atomic<bool>& stop, bool quiet) {
  const rate::RatePasses passes = [&] {
    const Progress progress("passes over the plan's seeds", {}, quiet);
    return rate::pass_rates(result, &stop);
  }();
  const auto line = [&](const char* name, const rate::RatePass& pass) {
    std::fputs(
        fmt::format(
            "  {:<14} plan {}, pass {} ({:+.2f} %); {} of the furrow treated, seeds as they fell\n",
            name, output::shown(pass.planned_m3pm2, output::Measure::kRate, units, 2),
            output::shown(pass.passed_m3pm2, output::Measure::kRate, units, 2),
            pass.difference_ratio() * 100.0,
            output::shown(pass.treated_ratio, output::Measure::kShare, units))
            .c_str(),
        to);
  };
  std::fputs("Field-average rate of the plan against a pass over the same seeds:\n", to);
  line("ideal row", passes.ideal);
  line("full physics", passes.full);
}

int execute_rate(const RateOptions& options, const std::atomic<bool>& stop) {
  const rate::RatePlan plan = rate::load_rate_plan(options.input, options.sets);
  const std::filesystem::path out =
      options.out.empty() ? std::filesystem::path("out") / plan.name : options.out;
  const OutLock lock(out, options.typed);
  const rate::RateResult result = rate::study_rate(plan);
  const std::array<output::ResultFile, 3> files = {
      {{"rate.html", rate::rate_sheet_html(result, options.units)},
       {"rate.json", rate::rate_json(result)},
       {"rate.csv", rate::rate_csv(result)}}};
  output::write_folder(files, out);
  if (options.json) {
    std::fputs(files[1].bytes.c_str(), stdout);
  } else {
    std::fputs((rate::rate_sentence(result, options.units) + "\n").c_str(), stdout);
    for (const std::string& warning : rate::rate_warnings(result, options.units))
      std::fputs(("! " + warning + "\n").c_str(), stdout);
    std::vector<rate::RateLine> lines = rate::rate_lines(result, options.units);
    for (rate::RateLine& line : rate::seed_lines(result, options.units))
      lines.push_back(std::move(line));
    print_lines(lines);
    print_zones(result, options.units);
    if (!result.limits.empty())
      std::fputs("Limits known of every crop, with soil, rows and source: sillion list crops\n",
                 stdout);
    if (options.catch_test)
      std::fputs(rate::catch_test_text(result, options.units).c_str(), stdout);
    std::fputs(fmt::format("sheet: {}\n", (out / "rate.html").string()).c_str(), stdout);
  }
  if (options.passes)
    print_passes(result, options.units, options.json ? stderr : stdout, stop,
                 options.hides_progress());
  return result.trouble == rate::RateTrouble::kNone ? kHeld : kViolated;
}

}  // namespace

Command rate_command() {
  const auto options = std::make_shared<RateOptions>();
  return {
      .name = "rate",
      .description =
          "what rate to set, what leaves the tank, what stays in it, and what rate the seed meets",
      .define = [options](CommandWords& words) { define_rate(words, *options); },
      .execute = [options](const std::atomic<bool>& stop) { return execute_rate(*options, stop); },
      .common = options.get(),
      .keeps = [options] { return kept_folder_of(options->out); }};
}

}  // namespace sim::command
