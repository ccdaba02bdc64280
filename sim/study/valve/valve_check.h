// One valve checked: by its model alone, or by a trace, which the model is fitted to.
//
//   model   programme of the setup, its figures against the limits
//   trace   what the trace says pulse by pulse against the limits; the model fitted to it, and the
//           programme of the fitted valve for what no trace of a few pulses can show
//   A trace that a fit cannot use still has its pulses and its verdict; `fit_refused` says why.
//
// Errors   InputError, BenchError, Interrupted of the parts
// Checked  tests/sim/study/valve/valve_check_test.cc
#pragma once

#include <optional>
#include <string>

#include "sim/study/run/run.h"
#include "sim/study/valve/fit/valve_fit.h"
#include "sim/study/valve/valve_programme.h"
#include "sim/study/valve/valve_verdict.h"

namespace sim::valve {

struct ValveCheck {
  ValveProgramme programme;  // of the setup's valve, or of the fitted one
  std::string trace_name;    // empty: the model alone
  std::optional<TraceFindings> findings;
  std::optional<ValveFit> fit;
  std::string fit_refused;
  ValveLimits limits;
  ValveVerdict verdict;
  output::RunHashes hashes;
};

/// What the setup says of how its trace is to be read.
TraceReading reading_of(const rig::RigSetup& setup);
ValveCheck check_model(const rig::RigSetup& setup, const ValveLimits& limits,
                       const std::atomic<bool>* stop = nullptr);
ValveCheck check_trace(const rig::RigSetup& setup, const ValveLimits& limits,
                       const ValveTrace& trace, const std::string& trace_name,
                       const std::atomic<bool>* stop = nullptr);

}  // namespace sim::valve
