// `sweep`: a study over a grid, its table and report. Its verdict: every servable cell with
// requirements must hold only where the study says so (`judged`); else a sweep informs and exits 0.
#include <fmt/format.h>

#include <algorithm>
#include <cstdio>

#include "sim/command/exit_code.h"
#include "sim/command/options.h"
#include "sim/command/progress.h"
#include "sim/command/size_of_work.h"
#include "sim/output/precision.h"
#include "sim/output/sentences.h"
#include "sim/output/tables.h"
#include "sim/study/sweep.h"

namespace sim {
namespace {

void print_cells(const SweepResult& result) {
  std::string head;
  std::size_t wide = 16;
  for (const SweepAxis& axis : result.axes) wide = std::max(wide, axis.key.size());
  for (const SweepAxis& axis : result.axes) head += fmt::format("{:>{}}", axis.key, wide + 2);
  std::fputs((head + fmt::format("{:>12}{:>10}{:>12}{:>12}{:>10}{:>12}{:>10}\n", "within10mm",
                                 "lower95", "mean mm", "sd mm", "gap", "break-even", "verdict"))
                 .c_str(),
             stdout);
  for (const SweepCell& cell : result.cells) {
    std::string line;
    for (const std::string& value : cell.values) line += fmt::format("{:>{}}", value, wide + 2);
    if (!cell.servable) {
      line += fmt::format("  not servable: the smallest outlet offset that serves is {:.1f} mm\n",
                          cell.tuned.smallest_offset_m * 1e3);
    } else {
      const Figures& all = cell.summary.all;
      line += fmt::format("{:>11.1f}%{:>9.1f}%{:>12.2f}{:>12.2f}{:>9.1f}%{:>9.1f} mm{:>10}\n",
                          all.within[0].sensed_ratio * 100.0, all.within[0].lower95_ratio * 100.0,
                          all.placement_error.mean_m * 1e3, all.placement_error.sd_m * 1e3,
                          all.gap_ratio * 100.0, cell.summary.break_even_scatter_m * 1e3,
                          verdict_word(cell.summary.verdict));
    }
    std::fputs(line.c_str(), stdout);
  }
}

void print_precision(const SweepResult& result, Units units) {
  std::fputs((precision_sentence(result, units) + "\n").c_str(), stdout);
  for (const SweepPrecision& one : result.precision) {
    if (one.observations < 2 && result.stop.plan.most == 0) continue;  // nothing to say but that
    std::string line = " ";
    for (const std::string& value : one.held)
      if (!value.empty()) line += " " + value + ",";
    line.back() = line.back() == ',' ? ':' : ' ';
    line += fmt::format(" {}: {}\n", observed_words(result, one.observations),
                        precision_words(result, one, units));
    std::fputs(line.c_str(), stdout);
  }
}

}  // namespace

int sweep_command(const CommandOptions& options, const std::atomic<bool>& stop) {
  const Study study = load_study(options.input, options.sets);
  const std::filesystem::path out =
      options.out.empty() ? std::filesystem::path("out") / study.name : options.out;
  if (options.dry_run) {
    print_size_of_sweep(study, out);
    return kHeld;
  }
  Progress progress(study.name, row_time_s(study), options.quiet || options.json);
  SweepResult result = run_sweep(
      study, {.stop = &stop, .on_progress = [&](double done_ratio) { progress.at(done_ratio); }});
  seal(result);
  write_sweep(result, out, options.units);
  bool placed = false;
  for (const SweepCell& cell : result.cells) placed = placed || cell.summary.all.seeds.placed > 0;
  if (options.json) {
    std::fputs(sweep_summary_json(result).c_str(), stdout);
  } else {
    std::fputs((sweep_sentence(result, options.units) + "\n").c_str(), stdout);
    print_cells(result);
    print_precision(result, options.units);
    std::fputs(fmt::format("report: {}\n", (out / "report.html").string()).c_str(), stdout);
  }
  return placed ? kHeld : kNothingToJudge;
}

}  // namespace sim
