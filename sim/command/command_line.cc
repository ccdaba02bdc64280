#include "sim/command/command_line.h"

#include <fmt/format.h>
#include <oneapi/tbb/global_control.h>
#include <spdlog/sinks/stdout_sinks.h>
#include <spdlog/spdlog.h>

#include <algorithm>
#include <memory>
#include <string>
#include <vector>

#include "sim/bench/controller_host.h"
#include "sim/bench/pass.h"
#include "sim/bench/row_team.h"
#include "sim/bench/worker_parent.h"
#include "sim/command/commands.h"
#include "sim/command/exit_code.h"
#include "sim/command/kept_findings.h"
#include "sim/command/standard_streams.h"
#include "sim/command/sudden_end.h"
#include "sim/command/trusted_run.h"
#include "sim/scenario/loader.h"
#include "sim/study/run/tables.h"

namespace sim::command {
namespace {

/// Runs the command and answers every kind of error with its words and its code.
int answer(const Command& command) {
  try {
    return command.execute(SuddenEnd::asked());
  } catch (const text::InputError& error) {
    spdlog::error("{}", error.what());
    return kBadInput;
  } catch (const output::OutputError& error) {
    spdlog::error("{}", error.what());
    return kBadInput;
  } catch (const bench::ControllerError& error) {
    spdlog::error("controller: {}", error.what());
    return kControllerFailed;
  } catch (const bench::Interrupted&) {
    SuddenEnd::tell(command.common->again);
    return SuddenEnd::code();
  } catch (const bench::BenchError& error) {
    spdlog::error("bench: {}", error.what());
    return kBenchFailed;
  } catch (const std::exception& error) {
    spdlog::error("bench: {}", error.what());
    return kBenchFailed;
  }
}

/// False, with an error, where this processor has no such lanes.
bool take_lanes(int lanes) {
  if (lanes == 0) return true;
  std::vector<int> widths = bench::widths_side_by_side(false);
  for (const int width : bench::widths_side_by_side(true)) widths.push_back(width);
  std::sort(widths.begin(), widths.end());
  widths.erase(std::unique(widths.begin(), widths.end()), widths.end());
  if (std::find(widths.begin(), widths.end(), lanes) == widths.end()) {
    std::string has;
    for (const int width : widths) has += (has.empty() ? "" : ", ") + std::to_string(width);
    spdlog::error("--lanes {}: this processor has lanes for {} rows", lanes, has);
    return false;
  }
  bench::set_rows_side_by_side(lanes);
  return true;
}

}  // namespace

int run_command_line(int argc, char** argv) {
  open_standard_streams();
  auto log = std::make_shared<spdlog::logger>("sillion",
                                              std::make_shared<spdlog::sinks::stderr_sink_mt>());
  log->set_pattern("sillion: %l: %v");
  spdlog::set_default_logger(log);

  const AskedFor asked = read_command_line(argc, argv);
  if (!asked.command) return code_with_output(asked.code);
  const Command& command = *asked.command;
  const CommonOptions& common = *command.common;
  const ControllerOptions controller =
      command.controller != nullptr ? *command.controller : ControllerOptions{};
  bench::set_host_settings(
      {.reference_apart = controller.apart, .trusts_foreign = controller.trust});
  if (!take_lanes(common.lanes)) return kBadInput;
  bench::set_passes_side_by_side(command.many_passes);
  // Workers are forked from a process that begins here, before there are threads and files.
  if (controller.apart || (!controller.controller.empty() && !controller.trust))
    bench::start_worker_parent();
  const auto execute = [&] {
    const SuddenEnd sudden_end(common.again);
    const auto threads = common.threads > 0
                             ? static_cast<std::size_t>(common.threads)
                             : oneapi::tbb::global_control::active_value(
                                   oneapi::tbb::global_control::max_allowed_parallelism);
    const oneapi::tbb::global_control control(oneapi::tbb::global_control::max_allowed_parallelism,
                                              threads);
    const KeptFindings kept(command.keeps ? command.keeps() : std::nullopt);
    return code_with_output(answer(command));
  };
  return controller.trust ? run_trusted(execute) : execute();
}

}  // namespace sim::command
