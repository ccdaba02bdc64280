// What stands behind an fmi3Instance: one row, the mode in which it is, and the way to the
// importer's log.
//
//   instantiated -> initialization -> step -> terminated; reset leads back to instantiated, and an
//   error leaves only reset and free
//
// Errors   none thrown across the C functions: what goes wrong is logged and is fmi3Error
// Checked  tests/sim/study/unit/imported_unit_test.cc
#pragma once

#include <memory>
#include <string>

#include "sim/study/unit/fmi3.h"
#include "sim/study/unit/row_instance.h"

namespace sim::unit {

/// The files of a unit's resources.
inline constexpr const char* kContentsFile = "row.txt";
inline constexpr const char* kTokenFile = "token.txt";
/// The only category of messages, as modelDescription.xml names it.
inline constexpr const char* kLogCategory = "logStatusError";

enum class Mode : std::uint8_t { kInstantiated, kInitialization, kStep, kTerminated, kFailed };

struct Fmi3Unit {
  std::string name;
  fmi3InstanceEnvironment environment = nullptr;
  fmi3LogMessageCallback log_message = nullptr;
  UnitContents contents;
  Mode mode = Mode::kInstantiated;
  UnitInputs inputs;
  UnitOutputs outputs;
  std::unique_ptr<RowInstance> row;
  double start_s = 0.0;           // the importer's time at which the row begins
  shared::Instant asked_until{};  // communication point, in the row's own time

  void say(fmi3Status status, const std::string& words) const {
    if (log_message != nullptr)
      log_message(environment, status, kLogCategory, (name + ": " + words).c_str());
  }
};

/// Logs that this function is not served, and gives fmi3Error.
fmi3Status refuse(fmi3Instance unit, const char* function,
                  const char* why = "this unit does not serve it");

}  // namespace sim::unit
