// A unit that was packed, unpacked and loaded is the row itself, to the last bit.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <optional>

#include "model/denormals.h"
#include "model/row/row_unit.h"
#include "sim/bench/row_fixed.h"
#include "tests/sim/study/unit/unit_cases.h"
#include "tests/support/imported_unit.h"

namespace {

using sim::unit::UnitContents;
using testing::HasSubstr;

constexpr double kPressure_pa = 3e5, kVoltage_v = 12.6;

const UnitContents& contents() {
  static const UnitContents made = sim::unit::unit_of(unit_cases::row_scenario(), {});
  return made;
}

const support::UnpackedUnit& unpacked() {
  static const support::UnpackedUnit made(
      sim::unit::unit_archive(contents(), unit_cases::library()));
  return made;
}

const support::UnitLibrary& library() {
  static const support::UnitLibrary made(unpacked());
  return made;
}

/// Whether the train drives in this communication step: a pulse of 5 steps in every 20.
bool on_in(int step) { return step >= 10 && (step - 10) % 20 < 5 && step < 80; }
constexpr int kSteps = 120;

void begin(support::UnitInstance& unit) {
  ASSERT_EQ(unit.set("supply_pressure", kPressure_pa), fmi3OK);
  ASSERT_EQ(unit.set("supply_voltage", kVoltage_v), fmi3OK);
  ASSERT_EQ(unit.initialize(), fmi3OK);
}

/// `ahead`: steps by which the train comes earlier.
void take_step(support::UnitInstance& unit, int step, double lasts_s, int ahead = 0) {
  ASSERT_EQ(unit.set_flag("command", on_in(step + ahead)), fmi3OK);
  ASSERT_EQ(unit.step(step * lasts_s, lasts_s), fmi3OK) << step;
}

/// The row stepped directly: the driven share of each step is counted in whole nanoseconds.
struct Direct {
  double out_m3 = 0.0;
  double current_a = 0.0, lift_m = 0.0;
};
Direct stepped_directly(double communication_s) {
  const model::DenormalGuard guard;
  model::RowUnit row(sim::bench::nominal_liquid_path(contents().scenario),
                     contents().scenario.solver, kPressure_pa);
  const std::int64_t step_ns = row.fit().step_ns;
  const auto point_ns = [&](int k) { return std::llround(k * communication_s * 1e9); };
  Direct did;
  for (std::int64_t from_ns = 0; from_ns + step_ns <= point_ns(kSteps); from_ns += step_ns) {
    std::int64_t driven_ns = 0;
    for (int k = 0; k < kSteps; ++k)
      if (on_in(k))
        driven_ns +=
            std::max<std::int64_t>(0, std::min<std::int64_t>(point_ns(k + 1), from_ns + step_ns) -
                                          std::max<std::int64_t>(point_ns(k), from_ns));
    const auto share_ratio = [&](std::int64_t part_ns) {
      return static_cast<double>(part_ns) / static_cast<double>(step_ns);
    };
    const model::RowStepOutput out =
        row.step({.supply_pressure_pa = kPressure_pa,
                  .supply_voltage_v = kVoltage_v,
                  .drive_ratio = share_ratio(driven_ns),
                  .fast_decay_ratio = share_ratio(step_ns - driven_ns)});
    did.out_m3 += out.jet_volume_m3;
    did.current_a = out.current_a;
    did.lift_m = out.lift_m;
  }
  return did;
}

// 1/1500 s is a whole number neither of the row's steps nor of nanoseconds: commands act inside
// steps, and what is left of a step is carried over.
TEST(ImportedUnit, LaysTheVolumeOfTheRowStepForStepWhateverTheCommunicationStep) {
  for (const double lasts_s : {1e-3, 1.0 / 1500.0}) {
    support::UnitInstance unit(unpacked(), library());
    ASSERT_NE(unit.get(), nullptr);
    begin(unit);
    double most_lift_m = 0.0;
    for (int k = 0; k < kSteps; ++k) {
      take_step(unit, k, lasts_s);
      most_lift_m = std::max(most_lift_m, unit.real("lift"));
      const double behind_s = (k + 1) * lasts_s - unit.last_successful_s();
      EXPECT_GE(behind_s, -1e-9);
      EXPECT_LT(behind_s, 50e-6);
      EXPECT_EQ(unit.real("time"), unit.last_successful_s());
    }
    const Direct did = stepped_directly(lasts_s);
    EXPECT_EQ(unit.real("total_volume"), did.out_m3);
    EXPECT_EQ(unit.real("coil_current"), did.current_a);
    EXPECT_EQ(unit.real("lift"), did.lift_m);
    EXPECT_GT(did.out_m3, 1e-9);  // the train lays something
    EXPECT_GT(most_lift_m, 0.0);
    EXPECT_EQ(unit.terminate(), fmi3OK);
    EXPECT_TRUE(unit.log().empty());
  }
}

// Instances share nothing: two that take turns, with different trains, do what each does alone.
TEST(ImportedUnit, InstancesDoNotMeet) {
  constexpr double kLasts_s = 1e-3;
  support::UnitInstance alone(unpacked(), library());
  begin(alone);
  for (int k = 0; k < 60; ++k) take_step(alone, k, kLasts_s);
  support::UnitInstance one(unpacked(), library()), other(unpacked(), library());
  begin(one);
  begin(other);
  ASSERT_EQ(other.set("supply_pressure", 2e5), fmi3OK);
  for (int k = 0; k < 60; ++k) {
    take_step(one, k, kLasts_s);
    take_step(other, k, kLasts_s, 3);
  }
  EXPECT_EQ(one.real("total_volume"), alone.real("total_volume"));
  EXPECT_NE(other.real("total_volume"), alone.real("total_volume"));
  // A reset forgets all of it.
  ASSERT_EQ(other.reset(), fmi3OK);
  begin(other);
  for (int k = 0; k < 60; ++k) take_step(other, k, kLasts_s);
  EXPECT_EQ(other.real("total_volume"), alone.real("total_volume"));
}

TEST(ImportedUnit, APluggedOutletPassesLess) {
  double open_m3 = 0.0;
  for (const double plugged_ratio : {0.0, 0.5, 1.0}) {
    support::UnitInstance unit(unpacked(), library());
    begin(unit);
    ASSERT_EQ(unit.set("outlet_plugged", plugged_ratio), fmi3OK);
    for (int k = 0; k < 60; ++k) take_step(unit, k, 1e-3);
    const double out_m3 = unit.real("total_volume");
    if (plugged_ratio == 0.0) open_m3 = out_m3;
    const double most_ratio = plugged_ratio == 0.0 ? 1.1 : plugged_ratio == 0.5 ? 0.9 : 0.01;
    EXPECT_LT(out_m3, most_ratio * open_m3) << plugged_ratio;
  }
}

TEST(ImportedUnit, MistakesAreErrorsInWordsAndNeverExceptions) {
  const support::UnitInstance wrong(unpacked(), library(), "another token");
  EXPECT_EQ(wrong.get(), nullptr);
  ASSERT_EQ(wrong.log().size(), 1u);
  EXPECT_THAT(wrong.log()[0], HasSubstr("token"));

  const auto last_words = [](const support::UnitInstance& unit) {
    return unit.log().empty() ? std::string() : unit.log().back();
  };
  support::UnitInstance unit(unpacked(), library());
  EXPECT_EQ(unit.step(0.0, 1e-3), fmi3Error);  // not initialized
  EXPECT_THAT(last_words(unit), HasSubstr("state"));
  begin(unit);
  EXPECT_EQ(unit.step(1.0, 1e-3), fmi3Error);  // not where the last one ended
  EXPECT_THAT(last_words(unit), HasSubstr("communication point"));
  EXPECT_EQ(unit.step(0.0, 1e-3), fmi3Error);  // after an error only reset helps
  ASSERT_EQ(unit.reset(), fmi3OK);
  begin(unit);
  EXPECT_EQ(unit.set("supply_pressure", std::nan("")), fmi3Error);
  EXPECT_THAT(last_words(unit), HasSubstr("supply_pressure"));
  ASSERT_EQ(unit.reset(), fmi3OK);
  begin(unit);
  EXPECT_EQ(unit.set("lift", 1e-3), fmi3Error);  // an output
  ASSERT_EQ(unit.reset(), fmi3OK);
  begin(unit);
  EXPECT_EQ(unit.set("current_limit", 1.0), fmi3Error);  // a parameter, once it runs
  EXPECT_THAT(last_words(unit), HasSubstr("parameter"));
  fmi3FMUState state = nullptr;
  EXPECT_EQ(library().function<decltype(fmi3GetFMUState)>("fmi3GetFMUState")(unit.get(), &state),
            fmi3Error);
  EXPECT_THAT(last_words(unit), HasSubstr("fmi3GetFMUState"));
}

// The names are those of the standard's functions, table by table; from memory of its text and
// compared with the list of its header fmi3Functions.h.
TEST(ImportedUnit, ExportsEveryFunctionOfTheStandardAndNothingElse) {
  std::vector<std::string> names = {"GetVersion",
                                    "SetDebugLogging",
                                    "InstantiateModelExchange",
                                    "InstantiateCoSimulation",
                                    "InstantiateScheduledExecution",
                                    "FreeInstance",
                                    "EnterInitializationMode",
                                    "ExitInitializationMode",
                                    "EnterEventMode",
                                    "Terminate",
                                    "Reset",
                                    "GetNumberOfVariableDependencies",
                                    "GetVariableDependencies",
                                    "GetFMUState",
                                    "SetFMUState",
                                    "FreeFMUState",
                                    "SerializedFMUStateSize",
                                    "SerializeFMUState",
                                    "DeserializeFMUState",
                                    "GetDirectionalDerivative",
                                    "GetAdjointDerivative",
                                    "EnterConfigurationMode",
                                    "ExitConfigurationMode",
                                    "GetIntervalDecimal",
                                    "GetIntervalFraction",
                                    "GetShiftDecimal",
                                    "GetShiftFraction",
                                    "SetIntervalDecimal",
                                    "SetIntervalFraction",
                                    "SetShiftDecimal",
                                    "SetShiftFraction",
                                    "EvaluateDiscreteStates",
                                    "UpdateDiscreteStates",
                                    "EnterContinuousTimeMode",
                                    "CompletedIntegratorStep",
                                    "SetTime",
                                    "SetContinuousStates",
                                    "GetContinuousStateDerivatives",
                                    "GetEventIndicators",
                                    "GetContinuousStates",
                                    "GetNominalsOfContinuousStates",
                                    "GetNumberOfEventIndicators",
                                    "GetNumberOfContinuousStates",
                                    "EnterStepMode",
                                    "GetOutputDerivatives",
                                    "DoStep",
                                    "ActivateModelPartition"};
  for (const char* type : {"Float32", "Float64", "Int8", "UInt8", "Int16", "UInt16", "Int32",
                           "UInt32", "Int64", "UInt64", "Boolean", "String", "Binary", "Clock"})
    for (const char* way : {"Get", "Set"}) names.push_back(std::string(way) + type);
  for (const std::string& name : names)
    EXPECT_NE(library().symbol(("fmi3" + name).c_str()), nullptr) << name;
  EXPECT_STREQ(library().function<decltype(fmi3GetVersion)>("fmi3GetVersion")(), "3.0");
  // Nothing of the program behind it can meet what the importer has.
  EXPECT_EQ(library().symbol("sillion_init"), nullptr);
  EXPECT_EQ(library().symbol("_ZN5model7RowUnit4stepERKNS_14RowStepInputOfIdEE"), nullptr);
}

}  // namespace
