#include "sim/command/sweep_print.h"

#include <fmt/format.h>
#include <spdlog/spdlog.h>

#include <algorithm>
#include <cstdio>

#include "sim/command/exit_code.h"
#include "sim/output/shown_units.h"
#include "sim/study/run/sentences.h"
#include "sim/study/run/tables.h"
#include "sim/study/sweep/axis_value.h"
#include "sim/study/sweep/precision.h"
#include "sim/study/sweep/sweep_page.h"
#include "sim/study/sweep/sweep_words.h"

namespace sim::command {
namespace {

void print_cells(const sweep::SweepResult& result, output::Units units) {
  std::string head;
  std::size_t wide = 16;
  for (const sweep::SweepAxis& axis : result.axes) wide = std::max(wide, axis.key.size());
  for (const sweep::SweepAxis& axis : result.axes)
    head += fmt::format("{:>{}}", axis.key, wide + 2);
  std::fputs(
      (head + fmt::format("{:>12}{:>10}{:>12}{:>12}{:>10}{:>12}  {}\n", "within 10mm", "lower 95%",
                          "mean error", "sd", "gap share", "break-even", "requirements"))
          .c_str(),
      stdout);
  for (const sweep::SweepCell& cell : result.cells) {
    std::string line;
    for (const std::string& value : sweep::cell_labels(result, cell, units))
      line += fmt::format("{:>{}}", value, wide + 2);
    if (cell.failed()) {
      line += "  failed: " + cell.fault_words + "\n";
    } else if (!cell.servable) {
      line +=
          fmt::format("  not servable: the smallest outlet offset that would serve is {}\n",
                      output::shown(cell.tuned.smallest_offset_m, output::Measure::kPlace, units));
    } else {
      const measure::Figures& all = cell.summary.all;
      const auto place = [&](double place_m) {
        return output::shown(place_m, output::Measure::kPlace, units);
      };
      line += fmt::format("{:>12}{:>10}{:>12}{:>12}{:>10}{:>12}  {}",
                          run::goal_share(all.within[0].sensed_ratio),
                          run::goal_share(all.within[0].lower95_ratio),
                          place(all.placement_error.mean_m), place(all.placement_error.sd_m),
                          output::shown(all.gap_ratio, output::Measure::kShare, units),
                          place(sweep::break_even_m(cell)), sweep::cell_verdict(cell) + "\n");
    }
    std::fputs(line.c_str(), stdout);
  }
}

void print_precision(const sweep::SweepResult& result, output::Units units) {
  std::fputs((sweep::precision_sentence(result, units) + "\n").c_str(), stdout);
  for (const sweep::SweepPrecision& one : result.precision) {
    if (one.observations < 2 && result.stop.plan.most == 0) continue;  // nothing to say but that
    std::string line = " ";
    for (const std::string& value : one.held)
      if (!value.empty()) line += " " + value + ",";
    line.back() = line.back() == ',' ? ':' : ' ';
    line += fmt::format(" {}: {}\n", sweep::observed_words(result, one.observations),
                        sweep::precision_words(result, one, units));
    std::fputs(line.c_str(), stdout);
  }
}

}  // namespace

void tell_failed(const std::vector<sweep::SweepCell>& cells) {
  for (const sweep::SweepCell& cell : cells) {
    if (!cell.failed()) continue;
    std::string values;
    for (const std::string& value : cell.values) values += (values.empty() ? "" : ", ") + value;
    spdlog::error("cell {}: {}: {}", values.empty() ? "without axes" : values,
                  cell.fault == sweep::CellFault::kController ? "controller" : "bench",
                  cell.fault_words);
  }
}

int code_of(const std::vector<sweep::SweepCell>& cells) {
  const sweep::CellCounts count = sweep::count_cells(cells);
  bool placed = false, controller = false;
  for (const sweep::SweepCell& cell : cells) {
    if (cell.fault == sweep::CellFault::kBench) return kBenchFailed;
    controller = controller || cell.fault == sweep::CellFault::kController;
    placed = placed || cell.summary.all.seeds.placed > 0;
  }
  if (controller) return kControllerFailed;
  if (count.violated > 0 || count.unservable_required > 0) return kViolated;
  return placed && count.no_data == 0 ? kHeld : kNothingToJudge;
}

void print_sweep(const sweep::SweepResult& result, const SweepOptions& options,
                 const std::filesystem::path& out) {
  if (options.json) {
    std::fputs(sweep::sweep_summary_json(result).c_str(), stdout);
    return;
  }
  std::fputs((sweep::sweep_sentence(result, options.units) + "\n").c_str(), stdout);
  print_cells(result, options.units);
  print_precision(result, options.units);
  std::fputs(fmt::format("report: {}\n", (out / "report.html").string()).c_str(), stdout);
}

}  // namespace sim::command
