// Check of one valve: by its model alone, or by a trace to which the model is fitted.
//
//   model   the programme of the setup; its figures are judged by the limits
//   trace   what the trace shows pulse by pulse is judged by the limits; the model is fitted to the
//           trace, and the programme of the fitted valve gives what no trace of a few pulses can
//           show
//   A trace that no fit can use still gets its pulses and its verdict; `fit_refused` says why.
//
// Errors   InputError, BenchError, Interrupted, as programme, trace and fit throw them
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
  std::string trace_name;    // empty: the model alone was checked
  std::optional<TraceFindings> findings;
  std::optional<ValveFit> fit;
  std::string fit_refused;
  ValveLimits limits;
  ValveVerdict verdict;
  output::RunHashes hashes;
};

/// How the setup says that its trace is to be read.
TraceReading reading_of(const rig::RigSetup& setup);
ValveCheck check_model(const rig::RigSetup& setup, const ValveLimits& limits,
                       const std::atomic<bool>* stop = nullptr);
ValveCheck check_trace(const rig::RigSetup& setup, const ValveLimits& limits,
                       const ValveTrace& trace, const std::string& trace_name,
                       const std::atomic<bool>* stop = nullptr);

}  // namespace sim::valve
