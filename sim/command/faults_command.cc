// `faults`: every fault at three severities in several scenarios, and what the controller makes of
// each.
#include <fmt/format.h>

#include <algorithm>
#include <cstdio>
#include <memory>

#include "sim/command/commands.h"
#include "sim/command/exit_code.h"
#include "sim/command/judged_first.h"
#include "sim/command/kept_findings.h"
#include "sim/command/out_lock.h"
#include "sim/command/progress.h"
#include "sim/command/words_table.h"
#include "sim/study/faults/fault_matrix_report.h"

namespace sim::command {
namespace {

struct FaultsOptions : CommonOptions, ScenarioOptions, ControllerOptions {
  bool dry_run = false;
};

void define_faults(CommandWords& words, FaultsOptions& options) {
  add_common_options(words, options, "MATRIX", "matrix file (TOML): scenarios that get the faults");
  add_scenario_options(words, options);
  add_controller_options(words, options);
  add_dry_run_option(words, options.dry_run);
  words.examples({"sillion faults scenarios/fault_matrix.toml",
                  "sillion faults scenarios/fault_matrix.toml --controller build/example.so "
                  "--out out/example_faults"});
}

void say(const std::string& line) { std::fputs((line + "\n").c_str(), stdout); }

int code_of_matrix(const faults::MatrixResult& result) {
  if (!result.never_acted().empty()) return kBadInput;
  const std::vector<const faults::JudgedCell*> red = result.red();
  const bool crashed = std::any_of(red.begin(), red.end(), [](const faults::JudgedCell* one) {
    return one->state == faults::CellState::kControllerFault;
  });
  if (crashed) return kControllerFailed;
  return red.empty() ? kHeld : kViolated;
}

int execute_faults(const FaultsOptions& options, const std::atomic<bool>& stop) {
  const faults::FaultMatrix matrix =
      faults::load_matrix(options.input, sets_with_controller(options, options));
  const std::size_t cells = faults::cells_of(matrix).size();
  const std::filesystem::path out =
      options.out.empty() ? std::filesystem::path("out") / matrix.name : options.out;
  if (options.dry_run) {
    say(
        fmt::format("{} passes: {} faults at {} severities in {} scenarios, and each scenario "
                    "without a fault; results: {}",
                    cells, matrix.kinds.size(), matrix.severities.size(), matrix.scenarios.size(),
                    out.string()));
    return kHeld;
  }
  const OutLock lock(out, options.typed);
  const faults::MatrixResult result = [&] {
    Progress progress(matrix.name, {}, options.hides_progress());
    return faults::run_matrix(
        matrix, {.stop = &stop, .on_progress = [&](double done) { progress.at(done); }});
  }();
  faults::write_matrix(result, out);
  if (options.json) {
    std::fputs(faults::matrix_json(result).c_str(), stdout);
    return code_of_matrix(result);
  }
  say(faults::matrix_sentence(result));
  say("  = held   ~ degraded   ! violated   x known to be violated   . not in this scenario;");
  say("  for each scenario mild, medium, severe");
  print_words_table(faults::matrix_table(result));
  for (const std::string& line : faults::matrix_findings(result)) say("  " + line);
  say("report: " + (out / "report.html").string());
  return code_of_matrix(result);
}

}  // namespace

Command faults_command() {
  const auto options = std::make_shared<FaultsOptions>();
  return {.name = "faults",
          .description =
              "every fault at three severities in several scenarios: held, degraded or violated",
          .define = [options](CommandWords& words) { define_faults(words, *options); },
          .execute =
              [options](const std::atomic<bool>& stop) { return execute_faults(*options, stop); },
          .common = options.get(),
          .controller = options.get(),
          .keeps = [options] { return kept_folder_of(options->out, options->dry_run); },
          .many_passes = true};
}

}  // namespace sim::command
