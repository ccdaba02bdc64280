// `unit`: a row, alone or with its controller, as a co-simulation unit for other programs.
#include <fmt/format.h>

#include <cstdio>
#include <memory>
#include <nlohmann/json.hpp>

#include "sim/command/commands.h"
#include "sim/command/judged_first.h"
#include "sim/command/kept_findings.h"
#include "sim/command/out_lock.h"
#include "sim/output/json_text.h"
#include "sim/output/write_folder.h"
#include "sim/scenario/loader.h"
#include "sim/study/unit/row_instance.h"
#include "sim/study/unit/unit_archive.h"
#include "sim/study/unit/unit_variables.h"

namespace sim::command {
namespace {

constexpr const char* kUnitFile = "row.fmu";

struct UnitWords : CommonOptions, ScenarioOptions {
  int row = -1;
  bool with_controller = false;
};

void define_unit(CommandWords& words, UnitWords& options) {
  add_common_options(words, options, "SCENARIO", "scenario file (TOML)");
  add_scenario_options(words, options);
  words.number("--row", options.row, {0, 1'000},
               "this row with its own scatter, numbered from 0; without it the nominal row");
  words.flag("--with-controller", options.with_controller,
             "the reference controller drives the valve: seed edges and speed are the inputs");
  words.examples({"sillion unit scenarios/demo.toml --out out/demo_unit",
                  "sillion unit scenarios/demo.toml --row 3 --with-controller"});
}

/// The library lies beside the program.
std::filesystem::path unit_library() {
  std::error_code ignored;
  return std::filesystem::read_symlink("/proc/self/exe", ignored).parent_path() /
         SILLION_ROW_LIBRARY;
}

int execute_unit(const UnitWords& options, const std::atomic<bool>& stop) {
  const scenario::Scenario scenario = scenario::load_scenario(options.input, options.sets);
  const std::filesystem::path out =
      options.out.empty() ? std::filesystem::path("out") / (scenario.name + "_unit") : options.out;
  const OutLock lock(out, options.typed);
  constexpr std::string_view kResults[] = {kUnitFile};
  require_free(out, kResults);
  const unit::UnitContents contents = unit::unit_of(
      scenario, {.row = options.row, .with_controller = options.with_controller}, &stop);
  const output::ResultFile file{kUnitFile, unit::unit_archive(contents, unit_library())};
  output::write_folder({&file, 1}, out);
  int inputs = 0, outputs = 0;
  for (const unit::UnitVariable& one : unit::unit_variables()) {
    if (!one.is_in(contents.with_controller)) continue;
    inputs += one.causality == unit::Causality::kInput ? 1 : 0;
    outputs += one.causality == unit::Causality::kOutput ? 1 : 0;
  }
  const double step_s =
      unit::RowInstance(contents, unit::start_inputs(contents)).step_length().seconds();
  const std::string path = (out / kUnitFile).string();
  if (options.json) {
    std::fputs(output::json_text({{"scenario", scenario.name},
                                  {"row", options.row},
                                  {"with_controller", options.with_controller},
                                  {"inputs", inputs},
                                  {"outputs", outputs},
                                  {"step_s", step_s},
                                  {"left_out_faults", scenario.faults.size()},
                                  {"file", path}})
                   .c_str(),
               stdout);
    return kHeld;
  }
  std::string lines = fmt::format(
      "{}{}: {} inputs, {} outputs, a step of {:g} us\n",
      options.row < 0 ? "the nominal row" : fmt::format("row {}", options.row),
      options.with_controller ? " with its controller" : "", inputs, outputs, step_s * 1e6);
  if (!scenario.faults.empty())
    lines += fmt::format("{} faults of the scenario are not in the unit\n", scenario.faults.size());
  std::fputs((lines + fmt::format("unit: {}\n", path)).c_str(), stdout);
  return kHeld;
}

}  // namespace

Command unit_command() {
  const auto options = std::make_shared<UnitWords>();
  return {
      .name = "unit",
      .description = "a row, alone or with its controller, as a co-simulation unit",
      .define = [options](CommandWords& words) { define_unit(words, *options); },
      .execute = [options](const std::atomic<bool>& stop) { return execute_unit(*options, stop); },
      .common = options.get(),
      .keeps = [options] { return kept_folder_of(options->out, false); }};
}

}  // namespace sim::command
