// `outlet`: outlet, tube and hose for an attachment. 0 where a part does the job, 1 where none
// does.
#include <fmt/format.h>

#include <cstdio>

#include "sim/command/attachment_input.h"
#include "sim/command/exit_code.h"
#include "sim/command/machine_pace.h"
#include "sim/command/options.h"
#include "sim/command/out_lock.h"
#include "sim/command/outside_world.h"
#include "sim/command/progress.h"
#include "sim/study/outlet/outlet_report.h"
#include "sim/study/outlet/outlet_tables.h"
#include "sim/study/run/tables.h"

namespace sim::command {
namespace {

/// Row-seconds of one part's pulses and trains (five hertz a step), as the progress line counts.
constexpr double kRowTimeOfPart_s = 6.0;
/// What one part usually takes; short trains start and fit anew each time.
constexpr double kUsualPart_s = kRowTimeOfPart_s / 40.0;
constexpr double kBytesOfPart_ratio = 700.0;

/// Measured by the first part, which is judged as the study judges it.
void print_size(const scenario::Scenario& scenario, const outlet::OutletOptions& study,
                const std::filesystem::path& out) {
  const std::vector<outlet::OutletPart> parts = outlet::outlet_parts(scenario, study.axes);
  const auto count = static_cast<double>(parts.size());
  const ProcessorTime judging;
  if (!parts.empty()) outlet::judge_part(scenario, parts[parts.size() / 2], study);
  const double all_s = judging.spent_s() * count;
  std::fputs(
      fmt::format("would judge {} parts: {:.0f} row-seconds, {}, {:.1f} MB into {}\n", parts.size(),
                  kRowTimeOfPart_s * count, time_words(all_s, all_s / cores_in_use()),
                  count * kBytesOfPart_ratio * 1e-6 + 0.1, out.string())
          .c_str(),
      stdout);
}

}  // namespace

outlet::OutletResult outlet_of(const scenario::Scenario& scenario, const CommandOptions& options,
                               const std::atomic<bool>& stop) {
  outlet::OutletOptions study = outlet_options(options.outlet);
  const auto parts = static_cast<double>(outlet::outlet_parts(scenario, study.axes).size());
  Progress progress(
      scenario.attachment.name,
      {.row_s = kRowTimeOfPart_s * parts, .wall_s = kUsualPart_s * parts / cores_in_use()},
      options.quiet || options.json);
  study.stop = &stop;
  study.on_progress = [&](double done_ratio) { progress.at(done_ratio); };
  outlet::OutletResult result = outlet::run_outlet_study(scenario, study);
  seal(result);
  return result;
}

int outlet_command(const CommandOptions& options, const std::atomic<bool>& stop) {
  const scenario::Scenario scenario =
      attachment_input(options.input, options.scenario, options.sets);
  const std::filesystem::path out = options.out.empty()
                                        ? std::filesystem::path("out") / ("outlet_" + scenario.name)
                                        : options.out;
  if (options.dry_run) {
    print_size(scenario, outlet_options(options.outlet), out);
    return kHeld;
  }
  const OutLock lock(out, options.typed);
  const outlet::OutletResult result = outlet_of(scenario, options, stop);
  outlet::write_outlet(result, out, options.units);
  if (options.json) {
    std::fputs(outlet::outlet_json(result).c_str(), stdout);
  } else {
    std::fputs((outlet::outlet_sentence(result, options.units) + "\n").c_str(), stdout);
    for (const std::string& reason : outlet::outlet_reasons(result, options.units))
      std::fputs(("  " + reason + "\n").c_str(), stdout);
    std::fputs(fmt::format("report: {}\n", (out / "report.html").string()).c_str(), stdout);
  }
  return result.recommended >= 0 ? kHeld : kViolated;
}

}  // namespace sim::command
