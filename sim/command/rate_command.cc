// `rate`: what a plan comes to for a field, its tank, its machine and its seed.
#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cstdio>

#include "sim/command/exit_code.h"
#include "sim/command/options.h"
#include "sim/command/out_lock.h"
#include "sim/output/shown_units.h"
#include "sim/output/write_folder.h"
#include "sim/study/rate/rate_passes.h"
#include "sim/study/rate/rate_sheet.h"
#include "sim/study/rate/rate_study.h"
#include "sim/study/rate/rate_words.h"

namespace sim {
namespace {

/// Names in one column that is as wide as the longest of them.
void print_lines(const std::vector<RateLine>& lines) {
  std::size_t wide = 0;
  for (const RateLine& line : lines) wide = std::max(wide, line.name.size());
  for (const RateLine& line : lines)
    std::fputs(fmt::format("  {:<{}}  {}\n", line.name, wide, line.text).c_str(), stdout);
}

void print_zones(const RateResult& result, Units units) {
  for (const ZonePlan& one : result.zones)
    std::fputs(
        fmt::format("  zone {:<20} {:>10} {:>14} in band, {}{}{}\n", one.zone.name,
                    shown_area(one.zone.area_m2, units),
                    shown(one.zone.in_band_m3pm2, Measure::kRate, units),
                    shown(one.delivery.pressure_pa, Measure::kPressure, units),
                    one.delivery.served
                        ? ""
                        : "; not at this speed: from " +
                              shown(one.delivery.slowest_mps, Measure::kSpeed, units) + " to " +
                              shown(one.delivery.fastest_mps, Measure::kSpeed, units),
                    one.rise_ahead_m > 0.0
                        ? "; raise pressure " + shown(one.rise_ahead_m, Measure::kDistance, units) +
                              " ahead"
                        : "")
            .c_str(),
        stdout);
}

/// To standard error where standard output holds one JSON document.
void print_passes(const RateResult& result, Units units, std::FILE* to,
                  const std::atomic<bool>& stop) {
  const RatePasses passes = pass_rates(result, &stop);
  const auto line = [&](const char* name, const RatePass& pass) {
    std::fputs(
        fmt::format(
            "  {:<14} plan {}, pass {} ({:+.2f} %); {} of the furrow treated, seeds as they fell\n",
            name, shown(pass.planned_m3pm2, Measure::kRate, units, 2),
            shown(pass.passed_m3pm2, Measure::kRate, units, 2), pass.difference_ratio() * 100.0,
            shown(pass.treated_ratio, Measure::kShare, units))
            .c_str(),
        to);
  };
  std::fputs("Field-average rate of the plan against a pass over the same seeds:\n", to);
  line("ideal row", passes.ideal);
  line("full physics", passes.full);
}

}  // namespace

int rate_command(const CommandOptions& options, const std::atomic<bool>& stop) {
  const RatePlan plan = load_rate_plan(options.input, options.sets);
  const std::filesystem::path out =
      options.out.empty() ? std::filesystem::path("out") / plan.name : options.out;
  const OutLock lock(out, options.typed);
  const RateResult result = study_rate(plan);
  const std::array<ResultFile, 3> files = {{{"rate.html", rate_sheet_html(result, options.units)},
                                            {"rate.json", rate_json(result)},
                                            {"rate.csv", rate_csv(result)}}};
  write_folder(files, out);
  if (options.json) {
    std::fputs(files[1].bytes.c_str(), stdout);
  } else {
    std::fputs((rate_sentence(result, options.units) + "\n").c_str(), stdout);
    for (const std::string& warning : rate_warnings(result, options.units))
      std::fputs(("! " + warning + "\n").c_str(), stdout);
    std::vector<RateLine> lines = rate_lines(result, options.units);
    for (RateLine& line : seed_lines(result, options.units)) lines.push_back(std::move(line));
    print_lines(lines);
    print_zones(result, options.units);
    if (!result.limits.empty())
      std::fputs("Limits known of every crop, with soil, rows and source: sillion list crops\n",
                 stdout);
    if (options.catch_test) std::fputs(catch_test_text(result, options.units).c_str(), stdout);
    std::fputs(fmt::format("sheet: {}\n", (out / "rate.html").string()).c_str(), stdout);
  }
  if (options.passes) print_passes(result, options.units, options.json ? stderr : stdout, stop);
  return result.trouble == RateTrouble::kNone ? kHeld : kViolated;
}

}  // namespace sim
