// The functions that the standard wants exported and that this unit does not serve: states to be
// taken and set, derivatives, clocks, events, configuration, other types, other kinds of unit. Each
// says so in the log and returns fmi3Error; modelDescription.xml announces none of them.
#include "sim/study/unit/fmi3_instance.h"

using sim::unit::refuse;

extern "C" {

#define SILLION_REFUSE_ACCESS(Type)                                                            \
  fmi3Status fmi3Get##Type(fmi3Instance unit, const fmi3ValueReference[], std::size_t count,   \
                           fmi3##Type[], std::size_t) {                                        \
    return count == 0 ? fmi3OK : refuse(unit, "fmi3Get" #Type, "no variable is of this type"); \
  }                                                                                            \
  fmi3Status fmi3Set##Type(fmi3Instance unit, const fmi3ValueReference[], std::size_t count,   \
                           const fmi3##Type[], std::size_t) {                                  \
    return count == 0 ? fmi3OK : refuse(unit, "fmi3Set" #Type, "no variable is of this type"); \
  }
SILLION_REFUSE_ACCESS(Float32)
SILLION_REFUSE_ACCESS(Int8)
SILLION_REFUSE_ACCESS(UInt8)
SILLION_REFUSE_ACCESS(Int16)
SILLION_REFUSE_ACCESS(UInt16)
SILLION_REFUSE_ACCESS(UInt32)
SILLION_REFUSE_ACCESS(Int64)
SILLION_REFUSE_ACCESS(UInt64)
SILLION_REFUSE_ACCESS(String)
#undef SILLION_REFUSE_ACCESS

#define SILLION_REFUSE(name, ...) \
  fmi3Status name(fmi3Instance unit __VA_OPT__(, ) __VA_ARGS__) { return refuse(unit, #name); }
using References = const fmi3ValueReference[];

SILLION_REFUSE(fmi3GetBinary, References, std::size_t, std::size_t[], fmi3Binary[], std::size_t)
SILLION_REFUSE(fmi3SetBinary, References, std::size_t, const std::size_t[], const fmi3Binary[],
               std::size_t)
SILLION_REFUSE(fmi3GetClock, References, std::size_t, fmi3Clock[])
SILLION_REFUSE(fmi3SetClock, References, std::size_t, const fmi3Clock[])
SILLION_REFUSE(fmi3GetNumberOfVariableDependencies, fmi3ValueReference, std::size_t*)
SILLION_REFUSE(fmi3GetVariableDependencies, fmi3ValueReference, std::size_t[], fmi3ValueReference[],
               std::size_t[], fmi3DependencyKind[], std::size_t)
SILLION_REFUSE(fmi3GetFMUState, fmi3FMUState*)
SILLION_REFUSE(fmi3SetFMUState, fmi3FMUState)
SILLION_REFUSE(fmi3FreeFMUState, fmi3FMUState*)
SILLION_REFUSE(fmi3SerializedFMUStateSize, fmi3FMUState, std::size_t*)
SILLION_REFUSE(fmi3SerializeFMUState, fmi3FMUState, fmi3Byte[], std::size_t)
SILLION_REFUSE(fmi3DeserializeFMUState, const fmi3Byte[], std::size_t, fmi3FMUState*)
SILLION_REFUSE(fmi3GetDirectionalDerivative, References, std::size_t, References, std::size_t,
               const fmi3Float64[], std::size_t, fmi3Float64[], std::size_t)
SILLION_REFUSE(fmi3GetAdjointDerivative, References, std::size_t, References, std::size_t,
               const fmi3Float64[], std::size_t, fmi3Float64[], std::size_t)
SILLION_REFUSE(fmi3EnterConfigurationMode)
SILLION_REFUSE(fmi3ExitConfigurationMode)
SILLION_REFUSE(fmi3EnterEventMode)
SILLION_REFUSE(fmi3GetIntervalDecimal, References, std::size_t, fmi3Float64[],
               fmi3IntervalQualifier[])
SILLION_REFUSE(fmi3GetIntervalFraction, References, std::size_t, fmi3UInt64[], fmi3UInt64[],
               fmi3IntervalQualifier[])
SILLION_REFUSE(fmi3GetShiftDecimal, References, std::size_t, fmi3Float64[])
SILLION_REFUSE(fmi3GetShiftFraction, References, std::size_t, fmi3UInt64[], fmi3UInt64[])
SILLION_REFUSE(fmi3SetIntervalDecimal, References, std::size_t, const fmi3Float64[])
SILLION_REFUSE(fmi3SetIntervalFraction, References, std::size_t, const fmi3UInt64[],
               const fmi3UInt64[])
SILLION_REFUSE(fmi3SetShiftDecimal, References, std::size_t, const fmi3Float64[])
SILLION_REFUSE(fmi3SetShiftFraction, References, std::size_t, const fmi3UInt64[],
               const fmi3UInt64[])
SILLION_REFUSE(fmi3EvaluateDiscreteStates)
SILLION_REFUSE(fmi3UpdateDiscreteStates, fmi3Boolean*, fmi3Boolean*, fmi3Boolean*, fmi3Boolean*,
               fmi3Boolean*, fmi3Float64*)
SILLION_REFUSE(fmi3EnterContinuousTimeMode)
SILLION_REFUSE(fmi3CompletedIntegratorStep, fmi3Boolean, fmi3Boolean*, fmi3Boolean*)
SILLION_REFUSE(fmi3SetTime, fmi3Float64)
SILLION_REFUSE(fmi3SetContinuousStates, const fmi3Float64[], std::size_t)
SILLION_REFUSE(fmi3GetContinuousStateDerivatives, fmi3Float64[], std::size_t)
SILLION_REFUSE(fmi3GetEventIndicators, fmi3Float64[], std::size_t)
SILLION_REFUSE(fmi3GetContinuousStates, fmi3Float64[], std::size_t)
SILLION_REFUSE(fmi3GetNominalsOfContinuousStates, fmi3Float64[], std::size_t)
SILLION_REFUSE(fmi3GetNumberOfEventIndicators, std::size_t*)
SILLION_REFUSE(fmi3GetNumberOfContinuousStates, std::size_t*)
SILLION_REFUSE(fmi3EnterStepMode)
SILLION_REFUSE(fmi3GetOutputDerivatives, References, std::size_t, const fmi3Int32[], fmi3Float64[],
               std::size_t)
SILLION_REFUSE(fmi3ActivateModelPartition, fmi3ValueReference, fmi3Float64)
#undef SILLION_REFUSE

fmi3Instance fmi3InstantiateModelExchange(fmi3String, fmi3String, fmi3String, fmi3Boolean,
                                          fmi3Boolean, fmi3InstanceEnvironment environment,
                                          fmi3LogMessageCallback log_message) {
  if (log_message != nullptr)
    log_message(environment, fmi3Error, "error",
                "fmi3InstantiateModelExchange: not this kind of unit");
  return nullptr;
}

fmi3Instance fmi3InstantiateScheduledExecution(fmi3String, fmi3String, fmi3String, fmi3Boolean,
                                               fmi3Boolean, fmi3InstanceEnvironment environment,
                                               fmi3LogMessageCallback log_message,
                                               fmi3ClockUpdateCallback, fmi3LockPreemptionCallback,
                                               fmi3UnlockPreemptionCallback) {
  if (log_message != nullptr)
    log_message(environment, fmi3Error, "error",
                "fmi3InstantiateScheduledExecution: not this kind of unit");
  return nullptr;
}
}
