// `budget`: whose error it is. It informs: its verdict is whether there was an error to share out.
#include <fmt/format.h>
#include <spdlog/spdlog.h>

#include <algorithm>
#include <cstdio>
#include <memory>

#include "sim/command/budget_command.h"
#include "sim/command/commands.h"
#include "sim/command/exit_code.h"
#include "sim/command/judged_first.h"
#include "sim/command/kept_findings.h"
#include "sim/command/out_lock.h"
#include "sim/command/progress.h"
#include "sim/command/size_of_work.h"
#include "sim/scenario/loader.h"
#include "sim/study/budget/budget.h"
#include "sim/study/budget/budget_report.h"
#include "sim/study/budget/budget_tables.h"

namespace sim::command {
namespace {

struct BudgetOptions : CommonOptions, ScenarioOptions, ControllerOptions {
  int orders = budget::kUsualOrders;
  int seeds = 0;  // of each row; 0 takes the scenario's
  bool dry_run = false;
};

void define_budget(CommandWords& words, BudgetOptions& options) {
  add_common_options(words, options, "SCENARIO", "scenario file (TOML)");
  add_scenario_options(words, options);
  add_controller_options(words, options);
  add_order_option(words, options.orders);
  words.number("--seeds", options.seeds, {1, 1'000'000},
               "number of seeds per row, counted from the first, instead of the scenario's seeds "
               "or duration");
  add_dry_run_option(words, options.dry_run);
  words.examples({"sillion budget scenarios/demo.toml --seeds 100",
                  "sillion budget scenarios/demo_gravity.toml --seeds 100 --orders 2 --units us"});
}

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

int execute_budget(const BudgetOptions& options, const std::atomic<bool>& stop) {
  std::vector<std::string> sets = sets_with_controller(options, options);
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
  const budget::BudgetResult result =
      budget_of(scenario, options.orders, options.hides_progress(), stop);
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

}  // namespace

void add_order_option(CommandWords& words, int& orders) {
  words.number("--orders", orders, {2, 1000},
               "number of orders in which the effects are made ideal one after the other; with "
               "more orders the shares scatter less",
               Default::kShown);
}

budget::BudgetResult budget_of(const scenario::Scenario& scenario, int orders, bool quiet,
                               const std::atomic<bool>& stop) {
  const int passes = budget::budget_passes(scenario, orders);
  Progress progress(scenario.name + " budget",
                    {.row_s = row_time_s(scenario) * passes,
                     .wall_s = tuned_pass_s(scenario, usual_pace()) * passes / cores_in_use()},
                    quiet);
  budget::BudgetResult result = budget::run_budget(
      scenario,
      {.orders = orders, .stop = &stop, .on_progress = [&](double done) { progress.at(done); }});
  seal(result);
  return result;
}

Command budget_command() {
  const auto options = std::make_shared<BudgetOptions>();
  return {.name = "budget",
          .description = "how much each cause adds to the placement error, seed by seed",
          .define = [options](CommandWords& words) { define_budget(words, *options); },
          .execute =
              [options](const std::atomic<bool>& stop) { return execute_budget(*options, stop); },
          .common = options.get(),
          .controller = options.get(),
          .keeps = [options] { return kept_folder_of(options->out, options->dry_run); },
          .many_passes = true};
}

}  // namespace sim::command
