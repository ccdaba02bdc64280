// `budget`: whose error it is. It informs: its verdict is whether there was an error to share out.
#include <fmt/format.h>
#include <spdlog/spdlog.h>

#include <algorithm>
#include <cstdio>

#include "sim/command/exit_code.h"
#include "sim/command/judged_first.h"
#include "sim/command/options.h"
#include "sim/command/out_lock.h"
#include "sim/command/progress.h"
#include "sim/command/size_of_work.h"
#include "sim/scenario/loader.h"
#include "sim/study/budget/budget.h"
#include "sim/study/budget/budget_report.h"
#include "sim/study/budget/budget_tables.h"

namespace sim::command {
namespace {

void say(const std::string& line) { std::fputs((line + "\n").c_str(), stdout); }

/// The table of the page in columns of a terminal; letters of more than one byte take one column.
void print_table(const output::Table& table) {
  const auto columns = [](const std::string& text) {
    return static_cast<std::size_t>(std::count_if(text.begin(), text.end(), [](char c) {
      return (static_cast<unsigned char>(c) & 0xc0u) != 0x80u;
    }));
  };
  std::vector<std::size_t> widths(table.head.size(), 0);
  for (std::size_t k = 0; k < table.head.size(); ++k) {
    widths[k] = columns(table.head[k]);
    for (const auto& line : table.lines) widths[k] = std::max(widths[k], columns(line[k]));
  }
  const auto print = [&](const std::vector<std::string>& line) {
    std::string text;
    for (std::size_t k = 0; k < line.size(); ++k) {
      const std::string gap(widths[k] - columns(line[k]), ' ');
      text += k < table.words ? "  " + line[k] + gap : "  " + gap + line[k];
    }
    say(text);
  };
  print(table.head);
  for (const auto& line : table.lines) print(line);
}

}  // namespace

budget::BudgetResult budget_of(const scenario::Scenario& scenario, const CommandOptions& options,
                               const std::atomic<bool>& stop) {
  const int passes = budget::budget_passes(scenario, options.orders);
  Progress progress(scenario.name + " budget",
                    {.row_s = row_time_s(scenario) * passes,
                     .wall_s = tuned_pass_s(scenario, usual_pace()) * passes / cores_in_use()},
                    options.quiet || options.json);
  budget::BudgetResult result = budget::run_budget(
      scenario, {.orders = options.orders, .stop = &stop, .on_progress = [&](double done) {
                   progress.at(done);
                 }});
  seal(result);
  return result;
}

int budget_command(const CommandOptions& options, const std::atomic<bool>& stop) {
  std::vector<std::string> sets = options.sets;
  if (options.seeds > 0)
    sets.insert(sets.end(), {"seeds=" + std::to_string(options.seeds), "duration=\"0 s\""});
  const scenario::Scenario scenario = scenario::load_scenario(options.input, sets);
  require_controller(scenario);
  const std::filesystem::path out = options.out.empty()
                                        ? std::filesystem::path("out") / (scenario.name + "_budget")
                                        : options.out;
  if (options.dry_run) {
    print_size_of_budget(scenario, options.orders, out);
    return kHeld;
  }
  const OutLock lock(out, options.typed);
  const budget::BudgetResult result = budget_of(scenario, options, stop);
  if (result.seeds.empty()) {
    spdlog::error(
        "{}: no seed has a band of its own in all {} passes, so there is no error to share out "
        "({})",
        scenario.name, result.passes, budget::counted_sentence(result));
    return kNothingToJudge;
  }
  budget::write_budget(result, out, options.units);
  if (options.json) {
    std::fputs(budget::budget_json(result).c_str(), stdout);
    return kHeld;
  }
  say(budget::budget_sentence(result, options.units));
  say(budget::interaction_sentence(result));
  print_table(budget::parts_table(result, options.units));
  say(budget::counted_sentence(result));
  say(fmt::format("{} orders of {} effects, {} passes; report: {}", result.orders, result.effects,
                  result.passes, (out / "report.html").string()));
  return kHeld;
}

}  // namespace sim::command
