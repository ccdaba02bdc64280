// `rig`: one valve, line and outlet on the bench, no planter.
#include <fmt/format.h>

#include <cstdio>

#include "sim/command/exit_code.h"
#include "sim/command/options.h"
#include "sim/command/out_lock.h"
#include "sim/output/rig_tables.h"
#include "sim/output/write_folder.h"
#include "sim/scenario/rig_setup.h"
#include "sim/study/invented_trace.h"
#include "sim/study/rig.h"

namespace sim {
namespace {

void print_pulses(const RigResult& result) {
  if (result.pulses.empty()) return;
  std::fputs(fmt::format("{:>6}{:>10}{:>10}{:>10}{:>12}{:>11}{:>11}{:>12}{:>11}\n", "pulse",
                         "on ms", "lead ms", "lag ms", "volume mm3", "start mm", "end mm",
                         "centroid mm", "secondary")
                 .c_str(),
             stdout);
  constexpr std::size_t kMostShown = 40;
  for (std::size_t k = 0; k < std::min(result.pulses.size(), kMostShown); ++k) {
    const RigPulse& p = result.pulses[k];
    std::fputs(fmt::format("{:>6}{:>10.3f}{:>10.3f}{:>10.3f}{:>12.3f}{:>11.3f}{:>11.3f}{:>12.3f}"
                           "{:>10.2f}%\n",
                           k, p.on_s * 1e3, p.lead_s * 1e3, p.lag_s * 1e3, p.volume_m3 * 1e9,
                           p.start_x_m * 1e3, p.end_x_m * 1e3, p.centroid_x_m * 1e3,
                           p.secondary_ratio * 1e2)
                   .c_str(),
               stdout);
  }
  if (result.pulses.size() > kMostShown)
    std::fputs(fmt::format("{:>6} more in pulses.csv\n", result.pulses.size() - kMostShown).c_str(),
               stdout);
}

}  // namespace

int rig_command(const CommandOptions& options, const std::atomic<bool>& stop) {
  const RigSetup setup = load_rig_setup(options.input, options.sets);
  if (!options.trace.empty()) {
    write_file(options.trace, trace_csv(invent_trace(setup, &stop)));
    std::fputs(fmt::format("invented trace: {}\n", options.trace.string()).c_str(),
               options.json ? stderr : stdout);
    return kHeld;
  }
  const std::filesystem::path out =
      options.out.empty() ? std::filesystem::path("out") / setup.name : options.out;
  const OutLock lock(out, options.typed);
  const RigResult result = run_rig(setup, &stop);
  write_rig(result, out, options.plot, options.units);
  if (options.json) {
    std::fputs(rig_json(result).c_str(), stdout);
  } else {
    std::fputs((rig_sentence(result, options.units) + "\n").c_str(), stdout);
    print_pulses(result);
    std::fputs(fmt::format("histories: {}\n", (out / "series.csv").string()).c_str(), stdout);
    if (options.plot)
      std::fputs(fmt::format("plots: {}\n", (out / "rig.html").string()).c_str(), stdout);
  }
  return kHeld;
}

}  // namespace sim
