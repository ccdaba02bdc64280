// The books of energy in the reference form over whole pulses: what the bridge gives the winding is
// stored, moves the plunger or turns to heat in copper, iron and clamp. Work and heat are states of
// the integrator too, so nothing but its tolerance is left.
#include <gtest/gtest.h>

#include <cmath>

#include "model/valve/valve_reference.h"
#include "tests/support/free_valve.h"

namespace model {
namespace {

using support::bridge_of;

constexpr Tolerance kTight = {.absolute_ratio = 1e-14, .relative_ratio = 1e-13};

Valve valve_of(ForceLaw law) {
  Valve valve;
  valve.plunger.damping_nspm = 1.5;
  valve.plunger.preload_n = 1.5;
  valve.plunger.restitution_ratio = 0.3;
  valve.coil = {.resistance_ohm = 4.0, .inductance_h = 3e-3, .clamp_v = 36.0, .diode_v = 0.7};
  valve.coil.force_law = law;
  valve.coil.reluctance = {.gap_m = 1.0e-3,
                           .leakage_h = 4e-4,
                           .saturation_vs = 9e-3,
                           .half_current_a = 0.3,
                           .eddy_ohm = 25.0};
  if (law == ForceLaw::kTable)
    valve.coil.table = support::sampled_table(valve.coil, 0.6e-3, 4, 3.0, 13);
  return valve;
}

double energy_j(const ValvePlan<double>& plan, const Coil& coil, const ValveState<double>& state) {
  switch (coil.force_law) {
    case ForceLaw::kReluctance:
      return stored_energy_j(plan.actuator.iron, state.linkage_vs, state.plunger.lift_m);
    case ForceLaw::kTable:
      return flux_energy_j(plan.actuator.table, state.linkage_vs, state.plunger.lift_m);
    case ForceLaw::kLinear: break;
  }
  return 0.5 * coil.inductance_h * state.current_a * state.current_a;
}

struct Books {
  double supplied_j = 0.0, clamped_j = 0.0, copper_j = 0.0, eddy_j = 0.0, mechanical_j = 0.0;
  double stored_j = 0.0, lifted_m = 0.0;
  double residual_ratio() const {
    return std::abs(supplied_j - clamped_j - copper_j - eddy_j - mechanical_j - stored_j) /
           supplied_j;
  }
};

/// 4 ms driven, 1 ms against the diode, 0.3 ms or the rest against the clamp.
Books pulse_of(const Valve& valve, double limit_a, double off_s) {
  constexpr double kBooked_s = 1e-5;
  const ValvePlan<double> plan = support::free_plan(valve, kBooked_s);
  ValveState<double> state;
  EnergyBooks driven, released;
  Books books;
  const auto run = [&](double time_s, const RowStepInput& in, EnergyBooks& into) {
    for (long long k = 0; k < std::llround(time_s / kBooked_s); ++k) {
      step_valve_reference(plan, valve, state, 0.0, 0.0, in, kTight, &into);
      books.lifted_m = std::fmax(books.lifted_m, state.plunger.lift_m);
    }
  };
  run(4e-3, bridge_of(1.0, 0.0, limit_a), driven);
  run(1e-3, bridge_of(0.0, 0.0), released);
  run(off_s, bridge_of(0.0, 1.0), released);
  books.supplied_j = driven.terminals_j;
  books.clamped_j = -released.terminals_j;
  books.copper_j = driven.copper_j + released.copper_j;
  books.eddy_j = driven.eddy_j + released.eddy_j;
  books.mechanical_j = driven.mechanical_j + released.mechanical_j;
  books.stored_j = energy_j(plan, valve.coil, state);
  return books;
}

TEST(EnergyBooks, ElectricalWorkIsStoredMechanicalAndHeatForEachLaw) {
  for (const ForceLaw law : {ForceLaw::kLinear, ForceLaw::kReluctance, ForceLaw::kTable}) {
    const Valve valve = valve_of(law);
    // The last stretch ends while the field is still there, or once the plunger has landed.
    for (const double off_s : {30e-6, 4e-3})
      for (const double limit_a : {0.0, 1.6}) {
        const Books books = pulse_of(valve, limit_a, off_s);
        const auto what = ::testing::Message() << "law " << static_cast<int>(law) << ", limit "
                                               << limit_a << " A, off " << off_s << " s";
        EXPECT_EQ(books.lifted_m, valve.plunger.travel_m) << what;
        EXPECT_GT(std::abs(books.mechanical_j), 1e-5) << what;
        EXPECT_GT(books.clamped_j, 1e-5) << what;
        EXPECT_LT(books.residual_ratio(), 1e-9) << what;
      }
  }
}

TEST(EnergyBooks, AChoppedPulseClosesToo) {
  for (const ForceLaw law : {ForceLaw::kLinear, ForceLaw::kReluctance, ForceLaw::kTable}) {
    Valve valve = valve_of(law);
    valve.coil.chop_hz = 20e3;
    const Books books = pulse_of(valve, 1.6, 4e-3);
    EXPECT_EQ(books.lifted_m, valve.plunger.travel_m) << static_cast<int>(law);
    EXPECT_LT(books.residual_ratio(), 1e-9) << static_cast<int>(law);
  }
}

// The eddy turn's share is counted: without it the books of the same pulse do not close.
TEST(EnergyBooks, TheIronsHeatIsPartOfThem) {
  const Books books = pulse_of(valve_of(ForceLaw::kReluctance), 0.0, 4e-3);
  EXPECT_GT(books.eddy_j / books.supplied_j, 1e-3);
}

}  // namespace
}  // namespace model
