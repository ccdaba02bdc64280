#include "sim/command/command_line.h"

#include <fmt/format.h>
#include <oneapi/tbb/global_control.h>
#include <spdlog/sinks/stdout_sinks.h>
#include <spdlog/spdlog.h>

#include <memory>

#include "sim/bench/controller_host.h"
#include "sim/bench/pass.h"
#include "sim/bench/worker_parent.h"
#include "sim/command/command_options.h"
#include "sim/command/exit_code.h"
#include "sim/command/kept_findings.h"
#include "sim/command/options.h"
#include "sim/command/standard_streams.h"
#include "sim/command/sudden_end.h"
#include "sim/command/trusted_run.h"
#include "sim/scenario/loader.h"
#include "sim/study/run/tables.h"

namespace sim::command {
namespace {

int dispatch(const CommandOptions& options) {
  const std::atomic<bool>& stop_asked = SuddenEnd::asked();
  if (options.command == "run") return run_command(options, stop_asked);
  if (options.command == "budget") return budget_command(options, stop_asked);
  if (options.command == "sweep") return sweep_command(options, stop_asked);
  if (options.command == "rig") return rig_command(options, stop_asked);
  if (options.command == "today") return today_command(options, stop_asked);
  if (options.command == "delay") return delay_command(options, stop_asked);
  if (options.command == "valve") return valve_command(options, stop_asked);
  if (options.command == "outlet") return outlet_command(options, stop_asked);
  if (options.command == "rate") return rate_command(options, stop_asked);
  if (options.command == "compare") return compare_command(options, stop_asked);
  if (options.command == "check") return check_command(options, stop_asked);
  if (options.command == "accept") return accept_command(options, stop_asked);
  if (options.command == "explain") return explain_command(options, stop_asked);
  return list_command(options);
}

/// Runs the command and answers every kind of error with its words and its code.
int answer(const CommandOptions& options) {
  try {
    return dispatch(options);
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
    SuddenEnd::tell(options.again);
    return SuddenEnd::code();
  } catch (const bench::BenchError& error) {
    spdlog::error("bench: {}", error.what());
    return kBenchFailed;
  } catch (const std::exception& error) {
    spdlog::error("bench: {}", error.what());
    return kBenchFailed;
  }
}

}  // namespace

int run_command_line(int argc, char** argv) {
  open_standard_streams();
  auto log = std::make_shared<spdlog::logger>("sillion",
                                              std::make_shared<spdlog::sinks::stderr_sink_mt>());
  log->set_pattern("sillion: %l: %v");
  spdlog::set_default_logger(log);

  CommandOptions options;
  if (const int code = parse_command_line(argc, argv, options); code != kGoOn)
    return code_with_output(code);
  bench::set_host_settings({.reference_apart = options.apart, .trusts_foreign = options.trust});
  // Workers are forked from a process that begins here, before there are threads and files.
  if (options.apart || (!options.controller.empty() && !options.trust))
    bench::start_worker_parent();
  const auto command = [&options] {
    const SuddenEnd sudden_end(options.again);
    const auto threads = options.threads > 0
                             ? static_cast<std::size_t>(options.threads)
                             : oneapi::tbb::global_control::active_value(
                                   oneapi::tbb::global_control::max_allowed_parallelism);
    const oneapi::tbb::global_control control(oneapi::tbb::global_control::max_allowed_parallelism,
                                              threads);
    const KeptFindings kept(options);
    return code_with_output(answer(options));
  };
  return options.trust ? run_trusted(command) : command();
}

}  // namespace sim::command
