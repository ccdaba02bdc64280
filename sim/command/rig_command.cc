// `rig`: one valve, line and outlet on the bench, no planter.
#include <fmt/format.h>
#include <spdlog/spdlog.h>

#include <cmath>
#include <cstdio>
#include <memory>

#include "shared/units.h"
#include "sim/command/commands.h"
#include "sim/command/exit_code.h"
#include "sim/command/judged_first.h"
#include "sim/command/out_lock.h"
#include "sim/output/coil_words.h"
#include "sim/output/shown_units.h"
#include "sim/output/write_folder.h"
#include "sim/study/rig/measured_beside.h"
#include "sim/study/rig/nothing_passes.h"
#include "sim/study/rig/rig.h"
#include "sim/study/rig/rig_setup.h"
#include "sim/study/rig/rig_tables.h"
#include "sim/study/valve/invented_trace.h"

namespace sim::command {
namespace {

struct RigOptions : CommonOptions, ScenarioOptions {
  bool plot = false;            // also a page of plots
  std::filesystem::path svg;    // where the drawing of the histories goes; empty: none
  std::filesystem::path trace;  // where an invented trace goes; empty: none
};

void define_rig(CommandWords& words, RigOptions& options) {
  add_common_options(words, options, "SETUP",
                     "rig setup file (TOML); its keys: `sillion list rig`");
  add_scenario_options(words, options);
  words.flag("--plot", options.plot, "also write rig.html, a page with plots of the histories");
  words.path("--svg", options.svg,
             "also write the histories as a drawing (SVG) to this file; with [measured], the "
             "measured ones alone");
  words.path("--trace", options.trace,
             "write an invented bench trace of the valve to this file, and nothing else");
  words.examples({"sillion rig scenarios/demo_rig.toml --plot",
                  "sillion rig tests/published/setups/stop_oil.toml --set solver.step=\"100 us\" "
                  "--json"});
}

void print_pulses(const rig::RigResult& result, output::Units units) {
  if (result.pulses.empty()) return;
  const output::ShownUnit place = output::shown_unit(output::Measure::kPlace, units);
  const output::ShownUnit dose =
      units == output::Units::kUs ? output::ShownUnit{"0.001 fl oz", 1e3 / shared::kFluidOunce_m3}
                                  : output::ShownUnit{"mm3", 1e9};
  const auto with = [](const char* name, const output::ShownUnit& unit) {
    return fmt::format("{} {}", name, unit.word);
  };
  std::fputs(
      fmt::format("{:>6}{:>10}{:>10}{:>10}{:>12}{:>11}{:>11}{:>12}{:>11}\n", "pulse", "on ms",
                  "lead ms", "lag ms", fmt::format("{}", dose.word), with("start", place),
                  with("end", place), with("centroid", place), "secondary")
          .c_str(),
      stdout);
  constexpr std::size_t kMostShown = 40;
  for (std::size_t k = 0; k < std::min(result.pulses.size(), kMostShown); ++k) {
    const rig::RigPulse& p = result.pulses[k];
    std::string line = fmt::format("{:>6}", k);
    for (const auto& [value, width] : {std::pair{p.on_s * 1e3, 10},  // tidy: unit of the heading
                                       {p.lead_s * 1e3, 10},
                                       {p.lag_s * 1e3, 10},
                                       {p.volume_m3 * dose.per_si_ratio, 12},
                                       {p.start_x_m * place.per_si_ratio, 11},
                                       {p.end_x_m * place.per_si_ratio, 11},
                                       {p.centroid_x_m * place.per_si_ratio, 12}})
      line += std::isfinite(value) ? fmt::format("{:>{}.3f}", value, width)
                                   : fmt::format("{:>{}}", "-", width);
    line += fmt::format("{:>10.2f}%\n", p.secondary_ratio * 1e2);
    std::fputs(line.c_str(), stdout);
  }
  if (result.pulses.size() > kMostShown)
    std::fputs(fmt::format("{:>6} more in pulses.csv\n", result.pulses.size() - kMostShown).c_str(),
               stdout);
}

int execute_rig(const RigOptions& options, const std::atomic<bool>& stop) {
  const rig::RigSetup setup = rig::load_rig_setup(options.input, options.sets);
  if (!options.trace.empty()) {
    output::write_file(options.trace, valve::trace_csv(valve::invent_trace(setup, &stop)));
    std::fputs(fmt::format("invented trace: {}\n", options.trace.string()).c_str(),
               options.json ? stderr : stdout);
    return kHeld;
  }
  const std::filesystem::path out =
      options.out.empty() ? std::filesystem::path("out") / setup.name : options.out;
  const OutLock lock(out, options.typed);
  require_writable(options.svg);
  const rig::RigResult result = rig::run_rig(setup, &stop);
  rig::write_rig(result, out, options.plot, options.units);
  if (!options.svg.empty())
    output::write_whole_file(options.svg, rig::rig_svg(result, options.units));
  if (options.json) {
    std::fputs(rig::rig_json(result).c_str(), stdout);
  } else {
    std::fputs((rig::rig_sentence(result, options.units) + "\n").c_str(), stdout);
    print_pulses(result, options.units);
    std::fputs(rig::measured_words(result, options.units).c_str(), stdout);
    const model::Coil& coil = setup.part.valve.coil;
    const bool plain = coil.force_law == model::ForceLaw::kLinear && !(coil.chop_hz > 0.0);
    if (setup.inlet == rig::RigInlet::kChain && !plain)
      std::fputs(("solenoid: " + output::coil_line(coil, options.units) + "\n").c_str(), stdout);
    if (const std::string words = rig::chopping_sentence(result, options.units); !words.empty())
      std::fputs((words + "\n").c_str(), stdout);
    std::fputs(fmt::format("histories: {}\n", (out / "series.csv").string()).c_str(), stdout);
    if (options.plot)
      std::fputs(fmt::format("plots: {}\n", (out / "rig.html").string()).c_str(), stdout);
    if (!options.svg.empty())
      std::fputs(fmt::format("drawing: {}\n", options.svg.string()).c_str(), stdout);
  }
  const std::string trouble = rig::nothing_passes_words(result, options.units);
  // A closed valve beside a measurement is a case of its own: a coil whose plunger is held.
  if (trouble.empty() || result.setup.measured.columns != nullptr) return kHeld;
  if (options.json) spdlog::error("{}: {}", setup.name, trouble);
  return kNothingToJudge;
}

}  // namespace

Command rig_command() {
  const auto options = std::make_shared<RigOptions>();
  return {
      .name = "rig",
      .description =
          "one valve, line and outlet on the bench, without a planter; parts can be ideal",
      .define = [options](CommandWords& words) { define_rig(words, *options); },
      .execute = [options](const std::atomic<bool>& stop) { return execute_rig(*options, stop); },
      .common = options.get()};
}

}  // namespace sim::command
