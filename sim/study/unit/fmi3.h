// The C interface of a co-simulation unit, as far as this program needs it: our own declarations of
// the types and functions that the standard names, with its signatures.
//
// Names are the standard's, so that an importer finds them. Types of callbacks and functions of the
// two other kinds of unit stand here only because every unit has to export them.
// Shapes   an array and its count stand side by side; the caller owns both
// Errors   none thrown across this boundary
// Source   Functional Mock-up Interface Specification 3.0 (Modelica Association), sections 2.2, 2.3
//          and 4.2; signatures compared with the headers fmi3PlatformTypes.h and
//          fmi3FunctionTypes.h of version 3.0, which are not part of this repository
// Checked  tests/sim/study/unit/imported_unit_test.cc
#pragma once

#include <cstddef>
#include <cstdint>

extern "C" {

using fmi3Instance = void*;
using fmi3InstanceEnvironment = void*;
using fmi3FMUState = void*;
using fmi3ValueReference = std::uint32_t;
using fmi3Float32 = float;
using fmi3Float64 = double;
using fmi3Int8 = std::int8_t;
using fmi3UInt8 = std::uint8_t;
using fmi3Int16 = std::int16_t;
using fmi3UInt16 = std::uint16_t;
using fmi3Int32 = std::int32_t;
using fmi3UInt32 = std::uint32_t;
using fmi3Int64 = std::int64_t;
using fmi3UInt64 = std::uint64_t;
using fmi3Boolean = bool;
using fmi3String = const char*;
using fmi3Byte = std::uint8_t;
using fmi3Binary = const fmi3Byte*;
using fmi3Clock = bool;

enum fmi3Status { fmi3OK, fmi3Warning, fmi3Discard, fmi3Error, fmi3Fatal };
enum fmi3DependencyKind {
  fmi3Independent,
  fmi3Constant,
  fmi3Fixed,
  fmi3Tunable,
  fmi3Discrete,
  fmi3Dependent
};
enum fmi3IntervalQualifier { fmi3IntervalNotYetKnown, fmi3IntervalUnchanged, fmi3IntervalChanged };

using fmi3LogMessageCallback = void (*)(fmi3InstanceEnvironment, fmi3Status, fmi3String category,
                                        fmi3String message);
using fmi3ClockUpdateCallback = void (*)(fmi3InstanceEnvironment);
using fmi3IntermediateUpdateCallback = void (*)(fmi3InstanceEnvironment, fmi3Float64, fmi3Boolean,
                                                fmi3Boolean, fmi3Boolean, fmi3Boolean, fmi3Boolean*,
                                                fmi3Float64*);
using fmi3LockPreemptionCallback = void (*)();
using fmi3UnlockPreemptionCallback = void (*)();

// Common to all kinds of unit
const char* fmi3GetVersion();
fmi3Status fmi3SetDebugLogging(fmi3Instance, fmi3Boolean on, std::size_t count,
                               const fmi3String categories[]);
fmi3Instance fmi3InstantiateCoSimulation(
    fmi3String instanceName, fmi3String instantiationToken, fmi3String resourcePath,
    fmi3Boolean visible, fmi3Boolean loggingOn, fmi3Boolean eventModeUsed,
    fmi3Boolean earlyReturnAllowed, const fmi3ValueReference requiredIntermediateVariables[],
    std::size_t nRequiredIntermediateVariables, fmi3InstanceEnvironment instanceEnvironment,
    fmi3LogMessageCallback logMessage, fmi3IntermediateUpdateCallback intermediateUpdate);
fmi3Instance fmi3InstantiateModelExchange(fmi3String, fmi3String, fmi3String, fmi3Boolean,
                                          fmi3Boolean, fmi3InstanceEnvironment,
                                          fmi3LogMessageCallback);
fmi3Instance fmi3InstantiateScheduledExecution(fmi3String, fmi3String, fmi3String, fmi3Boolean,
                                               fmi3Boolean, fmi3InstanceEnvironment,
                                               fmi3LogMessageCallback, fmi3ClockUpdateCallback,
                                               fmi3LockPreemptionCallback,
                                               fmi3UnlockPreemptionCallback);
void fmi3FreeInstance(fmi3Instance);
fmi3Status fmi3EnterInitializationMode(fmi3Instance, fmi3Boolean toleranceDefined,
                                       fmi3Float64 tolerance, fmi3Float64 startTime,
                                       fmi3Boolean stopTimeDefined, fmi3Float64 stopTime);
fmi3Status fmi3ExitInitializationMode(fmi3Instance);
fmi3Status fmi3EnterEventMode(fmi3Instance);
fmi3Status fmi3Terminate(fmi3Instance);
fmi3Status fmi3Reset(fmi3Instance);

// Variables, by type
#define SILLION_FMI3_ACCESS(Type)                                                            \
  fmi3Status fmi3Get##Type(fmi3Instance, const fmi3ValueReference[], std::size_t references, \
                           fmi3##Type values[], std::size_t count);                          \
  fmi3Status fmi3Set##Type(fmi3Instance, const fmi3ValueReference[], std::size_t references, \
                           const fmi3##Type values[], std::size_t count);
SILLION_FMI3_ACCESS(Float32)
SILLION_FMI3_ACCESS(Float64)
SILLION_FMI3_ACCESS(Int8)
SILLION_FMI3_ACCESS(UInt8)
SILLION_FMI3_ACCESS(Int16)
SILLION_FMI3_ACCESS(UInt16)
SILLION_FMI3_ACCESS(Int32)
SILLION_FMI3_ACCESS(UInt32)
SILLION_FMI3_ACCESS(Int64)
SILLION_FMI3_ACCESS(UInt64)
SILLION_FMI3_ACCESS(Boolean)
SILLION_FMI3_ACCESS(String)
#undef SILLION_FMI3_ACCESS
fmi3Status fmi3GetBinary(fmi3Instance, const fmi3ValueReference[], std::size_t references,
                         std::size_t sizes[], fmi3Binary values[], std::size_t count);
fmi3Status fmi3SetBinary(fmi3Instance, const fmi3ValueReference[], std::size_t references,
                         const std::size_t sizes[], const fmi3Binary values[], std::size_t count);
fmi3Status fmi3GetClock(fmi3Instance, const fmi3ValueReference[], std::size_t, fmi3Clock[]);
fmi3Status fmi3SetClock(fmi3Instance, const fmi3ValueReference[], std::size_t, const fmi3Clock[]);

// Dependencies, state, derivatives, configuration
fmi3Status fmi3GetNumberOfVariableDependencies(fmi3Instance, fmi3ValueReference, std::size_t*);
fmi3Status fmi3GetVariableDependencies(fmi3Instance, fmi3ValueReference, std::size_t[],
                                       fmi3ValueReference[], std::size_t[], fmi3DependencyKind[],
                                       std::size_t);
fmi3Status fmi3GetFMUState(fmi3Instance, fmi3FMUState*);
fmi3Status fmi3SetFMUState(fmi3Instance, fmi3FMUState);
fmi3Status fmi3FreeFMUState(fmi3Instance, fmi3FMUState*);
fmi3Status fmi3SerializedFMUStateSize(fmi3Instance, fmi3FMUState, std::size_t*);
fmi3Status fmi3SerializeFMUState(fmi3Instance, fmi3FMUState, fmi3Byte[], std::size_t);
fmi3Status fmi3DeserializeFMUState(fmi3Instance, const fmi3Byte[], std::size_t, fmi3FMUState*);
fmi3Status fmi3GetDirectionalDerivative(fmi3Instance, const fmi3ValueReference[], std::size_t,
                                        const fmi3ValueReference[], std::size_t,
                                        const fmi3Float64[], std::size_t, fmi3Float64[],
                                        std::size_t);
fmi3Status fmi3GetAdjointDerivative(fmi3Instance, const fmi3ValueReference[], std::size_t,
                                    const fmi3ValueReference[], std::size_t, const fmi3Float64[],
                                    std::size_t, fmi3Float64[], std::size_t);
fmi3Status fmi3EnterConfigurationMode(fmi3Instance);
fmi3Status fmi3ExitConfigurationMode(fmi3Instance);

// Clocks and events
fmi3Status fmi3GetIntervalDecimal(fmi3Instance, const fmi3ValueReference[], std::size_t,
                                  fmi3Float64[], fmi3IntervalQualifier[]);
fmi3Status fmi3GetIntervalFraction(fmi3Instance, const fmi3ValueReference[], std::size_t,
                                   fmi3UInt64[], fmi3UInt64[], fmi3IntervalQualifier[]);
fmi3Status fmi3GetShiftDecimal(fmi3Instance, const fmi3ValueReference[], std::size_t,
                               fmi3Float64[]);
fmi3Status fmi3GetShiftFraction(fmi3Instance, const fmi3ValueReference[], std::size_t, fmi3UInt64[],
                                fmi3UInt64[]);
fmi3Status fmi3SetIntervalDecimal(fmi3Instance, const fmi3ValueReference[], std::size_t,
                                  const fmi3Float64[]);
fmi3Status fmi3SetIntervalFraction(fmi3Instance, const fmi3ValueReference[], std::size_t,
                                   const fmi3UInt64[], const fmi3UInt64[]);
fmi3Status fmi3SetShiftDecimal(fmi3Instance, const fmi3ValueReference[], std::size_t,
                               const fmi3Float64[]);
fmi3Status fmi3SetShiftFraction(fmi3Instance, const fmi3ValueReference[], std::size_t,
                                const fmi3UInt64[], const fmi3UInt64[]);
fmi3Status fmi3EvaluateDiscreteStates(fmi3Instance);
fmi3Status fmi3UpdateDiscreteStates(fmi3Instance, fmi3Boolean*, fmi3Boolean*, fmi3Boolean*,
                                    fmi3Boolean*, fmi3Boolean*, fmi3Float64*);

// Model exchange
fmi3Status fmi3EnterContinuousTimeMode(fmi3Instance);
fmi3Status fmi3CompletedIntegratorStep(fmi3Instance, fmi3Boolean, fmi3Boolean*, fmi3Boolean*);
fmi3Status fmi3SetTime(fmi3Instance, fmi3Float64);
fmi3Status fmi3SetContinuousStates(fmi3Instance, const fmi3Float64[], std::size_t);
fmi3Status fmi3GetContinuousStateDerivatives(fmi3Instance, fmi3Float64[], std::size_t);
fmi3Status fmi3GetEventIndicators(fmi3Instance, fmi3Float64[], std::size_t);
fmi3Status fmi3GetContinuousStates(fmi3Instance, fmi3Float64[], std::size_t);
fmi3Status fmi3GetNominalsOfContinuousStates(fmi3Instance, fmi3Float64[], std::size_t);
fmi3Status fmi3GetNumberOfEventIndicators(fmi3Instance, std::size_t*);
fmi3Status fmi3GetNumberOfContinuousStates(fmi3Instance, std::size_t*);

// Co-simulation
fmi3Status fmi3EnterStepMode(fmi3Instance);
fmi3Status fmi3GetOutputDerivatives(fmi3Instance, const fmi3ValueReference[], std::size_t,
                                    const fmi3Int32[], fmi3Float64[], std::size_t);
fmi3Status fmi3DoStep(fmi3Instance, fmi3Float64 currentCommunicationPoint,
                      fmi3Float64 communicationStepSize,
                      fmi3Boolean noSetFMUStatePriorToCurrentPoint,
                      fmi3Boolean* eventHandlingNeeded, fmi3Boolean* terminateSimulation,
                      fmi3Boolean* earlyReturn, fmi3Float64* lastSuccessfulTime);

// Scheduled execution
fmi3Status fmi3ActivateModelPartition(fmi3Instance, fmi3ValueReference, fmi3Float64);
}
