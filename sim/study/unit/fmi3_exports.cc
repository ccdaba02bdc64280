// The functions of the standard that this unit serves: its life, its variables, its step.
#include <cmath>
#include <filesystem>
#include <fstream>
#include <iterator>

#include "sim/study/unit/fmi3_instance.h"
#include "sim/study/unit/unit_variables.h"
#include "sim/text/input_error.h"

namespace sim::unit {
namespace {

std::string text_of(const std::filesystem::path& file) {
  std::ifstream stream(file, std::ios::binary);
  if (!stream) throw text::InputError("cannot read `" + file.string() + "`");
  return {std::istreambuf_iterator<char>(stream), std::istreambuf_iterator<char>()};
}

void load(Fmi3Unit& made, const char* token, const char* resources) {
  if (token == nullptr || resources == nullptr)
    throw text::InputError("instantiationToken and resourcePath are needed");
  const std::filesystem::path folder(resources);
  if (text_of(folder / kTokenFile) != token)
    throw text::InputError("the instantiation token is not that of the resources");
  made.contents = read_contents(text_of(folder / kContentsFile));
  made.inputs = start_inputs(made.contents);
}

/// Runs `work` on the unit if it is in one of these modes; what it throws ends the unit.
template <typename Work>
fmi3Status in_mode(fmi3Instance instance, const char* function, std::initializer_list<Mode> modes,
                   const Work& work) {
  if (instance == nullptr) return fmi3Error;
  Fmi3Unit& unit = *static_cast<Fmi3Unit*>(instance);
  bool allowed = false;
  for (const Mode mode : modes) allowed = allowed || mode == unit.mode;
  if (!allowed) return refuse(instance, function, "not allowed in the unit's present state");
  try {
    work(unit);
    return fmi3OK;
  } catch (const std::exception& error) {
    unit.say(fmi3Error, std::string(function) + ": " + error.what());
  } catch (...) {
    unit.say(fmi3Error, std::string(function) + ": unknown error");
  }
  unit.mode = Mode::kFailed;
  return fmi3Error;
}

/// Nothing is changed by a call that names a variable which does not fit.
template <typename Member, typename Value>
fmi3Status set_values(fmi3Instance instance, const char* function,
                      const fmi3ValueReference references[], std::size_t count,
                      const Value values[], std::size_t value_count, Member member) {
  return in_mode(
      instance, function, {Mode::kInstantiated, Mode::kInitialization, Mode::kStep},
      [&](Fmi3Unit& unit) {
        if (count != value_count)
          throw text::InputError("the variables are scalars: as many values as references");
        UnitInputs inputs = unit.inputs;
        for (std::size_t k = 0; k < count; ++k) {
          const UnitVariable* found = find_variable(references[k], unit.contents.with_controller);
          if (found == nullptr || found->*member == nullptr)
            throw text::InputError("no input of this type has reference " +
                                   std::to_string(references[k]));
          if (unit.mode == Mode::kStep && found->causality == Causality::kParameter)
            throw text::InputError(std::string(found->name) +
                                   " is a parameter: it is fixed once the unit runs");
          inputs.*(found->*member) = values[k];
        }
        if (unit.row) unit.row->set(inputs, unit.asked_until);
        unit.inputs = inputs;
      });
}

template <typename In, typename Out, typename Value>
fmi3Status get_values(fmi3Instance instance, const char* function,
                      const fmi3ValueReference references[], std::size_t count, Value values[],
                      std::size_t value_count, In in, Out out) {
  return in_mode(
      instance, function,
      {Mode::kInstantiated, Mode::kInitialization, Mode::kStep, Mode::kTerminated},
      [&](Fmi3Unit& unit) {
        if (count != value_count)
          throw text::InputError("the variables are scalars: as many values as references");
        const UnitOutputs& outputs = unit.row ? unit.row->outputs() : unit.outputs;
        for (std::size_t k = 0; k < count; ++k) {
          const UnitVariable* found = find_variable(references[k], unit.contents.with_controller);
          const bool is_out = found != nullptr && found->*out != nullptr;
          if (found == nullptr || (!is_out && (in == nullptr || found->*in == nullptr)))
            throw text::InputError("no variable of this type has reference " +
                                   std::to_string(references[k]));
          values[k] = is_out ? outputs.*(found->*out) : Value(unit.inputs.*(found->*in));
          if constexpr (std::is_floating_point_v<Value>)
            if (found->instant && values[k] >= 0.0) values[k] += unit.start_s;
        }
      });
}

void do_step(Fmi3Unit& unit, double from_s, double lasts_s) {
  if (!std::isfinite(from_s) || !(lasts_s > 0.0) || !(from_s + lasts_s - unit.start_s < 1e6))
    throw text::InputError("a communication step is longer than 0 and ends before 1e6 s");
  const shared::Instant from = shared::instant_of(from_s - unit.start_s);
  if (std::abs((from - unit.asked_until).ns) > 1)
    throw text::InputError("the step does not begin at the last communication point");
  unit.asked_until = shared::instant_of(from_s + lasts_s - unit.start_s);
  unit.row->advance(unit.asked_until);
}

}  // namespace

fmi3Status refuse(fmi3Instance instance, const char* function, const char* why) {
  if (instance != nullptr)
    static_cast<const Fmi3Unit*>(instance)->say(fmi3Error, std::string(function) + ": " + why);
  return fmi3Error;
}

}  // namespace sim::unit

using namespace sim::unit;

extern "C" {

const char* fmi3GetVersion() { return "3.0"; }

fmi3Status fmi3SetDebugLogging(fmi3Instance instance, fmi3Boolean, std::size_t,
                               const fmi3String[]) {
  return instance == nullptr ? fmi3Error : fmi3OK;  // errors are always said, and nothing else is
}

fmi3Instance fmi3InstantiateCoSimulation(
    fmi3String instanceName, fmi3String instantiationToken, fmi3String resourcePath, fmi3Boolean,
    fmi3Boolean, fmi3Boolean eventModeUsed, fmi3Boolean, const fmi3ValueReference[],
    std::size_t nRequiredIntermediateVariables, fmi3InstanceEnvironment instanceEnvironment,
    fmi3LogMessageCallback logMessage, fmi3IntermediateUpdateCallback) {
  try {
    auto made = std::make_unique<Fmi3Unit>();
    made->name = instanceName == nullptr ? "row" : instanceName;
    made->environment = instanceEnvironment;
    made->log_message = logMessage;
    try {
      if (eventModeUsed || nRequiredIntermediateVariables > 0)
        throw sim::text::InputError("this unit has neither an event mode nor intermediate values");
      load(*made, instantiationToken, resourcePath);
      return made.release();
    } catch (const std::exception& error) {
      made->say(fmi3Error, std::string("fmi3InstantiateCoSimulation: ") + error.what());
    }
  } catch (...) {  // not even the memory for a message
  }
  return nullptr;
}

void fmi3FreeInstance(fmi3Instance instance) { delete static_cast<Fmi3Unit*>(instance); }

fmi3Status fmi3EnterInitializationMode(fmi3Instance instance, fmi3Boolean, fmi3Float64,
                                       fmi3Float64 startTime, fmi3Boolean, fmi3Float64) {
  return in_mode(instance, "fmi3EnterInitializationMode", {Mode::kInstantiated},
                 [&](Fmi3Unit& unit) {
                   if (!std::isfinite(startTime))
                     throw sim::text::InputError("startTime is no number");
                   unit.start_s = startTime;
                   unit.mode = Mode::kInitialization;
                 });
}

fmi3Status fmi3ExitInitializationMode(fmi3Instance instance) {
  return in_mode(instance, "fmi3ExitInitializationMode", {Mode::kInitialization},
                 [](Fmi3Unit& unit) {
                   unit.row = std::make_unique<RowInstance>(unit.contents, unit.inputs);
                   unit.asked_until = {};
                   unit.mode = Mode::kStep;
                 });
}

fmi3Status fmi3Terminate(fmi3Instance instance) {
  return in_mode(instance, "fmi3Terminate", {Mode::kStep},
                 [](Fmi3Unit& unit) { unit.mode = Mode::kTerminated; });
}

fmi3Status fmi3Reset(fmi3Instance instance) {
  return in_mode(
      instance, "fmi3Reset",
      {Mode::kInstantiated, Mode::kInitialization, Mode::kStep, Mode::kTerminated, Mode::kFailed},
      [](Fmi3Unit& unit) {
        unit.row.reset();
        unit.inputs = start_inputs(unit.contents);
        unit.start_s = 0.0;
        unit.mode = Mode::kInstantiated;
      });
}

fmi3Status fmi3SetFloat64(fmi3Instance instance, const fmi3ValueReference references[],
                          std::size_t count, const fmi3Float64 values[], std::size_t value_count) {
  return set_values(instance, "fmi3SetFloat64", references, count, values, value_count,
                    &UnitVariable::real_in);
}

fmi3Status fmi3SetBoolean(fmi3Instance instance, const fmi3ValueReference references[],
                          std::size_t count, const fmi3Boolean values[], std::size_t value_count) {
  return set_values(instance, "fmi3SetBoolean", references, count, values, value_count,
                    &UnitVariable::flag_in);
}

fmi3Status fmi3SetInt32(fmi3Instance instance, const fmi3ValueReference[], std::size_t count,
                        const fmi3Int32[], std::size_t) {
  return count == 0 ? fmi3OK : refuse(instance, "fmi3SetInt32", "no input is of this type");
}

fmi3Status fmi3GetFloat64(fmi3Instance instance, const fmi3ValueReference references[],
                          std::size_t count, fmi3Float64 values[], std::size_t value_count) {
  return get_values(instance, "fmi3GetFloat64", references, count, values, value_count,
                    &UnitVariable::real_in, &UnitVariable::real_out);
}

fmi3Status fmi3GetBoolean(fmi3Instance instance, const fmi3ValueReference references[],
                          std::size_t count, fmi3Boolean values[], std::size_t value_count) {
  return get_values(instance, "fmi3GetBoolean", references, count, values, value_count,
                    &UnitVariable::flag_in, &UnitVariable::flag_out);
}

fmi3Status fmi3GetInt32(fmi3Instance instance, const fmi3ValueReference references[],
                        std::size_t count, fmi3Int32 values[], std::size_t value_count) {
  return get_values(instance, "fmi3GetInt32", references, count, values, value_count,
                    decltype(&UnitVariable::flag_in){nullptr}, &UnitVariable::whole_out);
}

fmi3Status fmi3DoStep(fmi3Instance instance, fmi3Float64 currentCommunicationPoint,
                      fmi3Float64 communicationStepSize, fmi3Boolean,
                      fmi3Boolean* eventHandlingNeeded, fmi3Boolean* terminateSimulation,
                      fmi3Boolean* earlyReturn, fmi3Float64* lastSuccessfulTime) {
  if (eventHandlingNeeded == nullptr || terminateSimulation == nullptr || earlyReturn == nullptr ||
      lastSuccessfulTime == nullptr)
    return refuse(instance, "fmi3DoStep", "a place for what it returns is missing");
  *eventHandlingNeeded = *terminateSimulation = *earlyReturn = false;
  const fmi3Status status = in_mode(instance, "fmi3DoStep", {Mode::kStep}, [&](Fmi3Unit& unit) {
    do_step(unit, currentCommunicationPoint, communicationStepSize);
  });
  if (instance != nullptr && static_cast<const Fmi3Unit*>(instance)->row) {
    const Fmi3Unit& unit = *static_cast<const Fmi3Unit*>(instance);
    *lastSuccessfulTime = unit.start_s + unit.row->now().seconds();
  }
  return status;
}
}
