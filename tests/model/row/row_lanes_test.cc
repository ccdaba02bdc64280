// Rows side by side against the same rows alone: every bit of every output of double lanes, for
// rows that differ in liquid, pressure, bores, valve and step, and for each part that a row may
// have. Float lanes are judged in mm by tests/model/row/row_lanes_float_test.cc.
#include "model/row/row_lanes.h"

#include <gtest/gtest.h>

#include <bit>
#include <cmath>
#include <deque>
#include <functional>
#include <limits>
#include <random>
#include <string>
#include <vector>

#include "tests/support/drive_row.h"

namespace model {
namespace {

using Change = std::function<void(RowUnitParams&, SolverParams&)>;

/// Row `index` of a family that shares the numbers of cells: lengths, wave speeds and steps move
/// together, all else moves freely.
RowUnitParams member(int index, double longer_ratio) {
  RowUnitParams row = support::base_row();
  const double part = 0.013 * index;
  row.hose = {.length_m = 0.5 * longer_ratio,
              .bore_m = 6e-3 - 1e-4 * index,
              .wave_speed_mps = 500.0 * longer_ratio};
  row.tube = {.length_m = 0.4 * longer_ratio,
              .bore_m = 4e-3 + 1e-4 * index,
              .wave_speed_mps = 400.0 * longer_ratio,
              .rise_m = -0.1 * index};
  row.liquid.viscosity_pas *= 1.0 + 3.0 * part;
  row.liquid.density_kgpm3 *= 1.0 - part;
  row.outlet.bore_m *= 1.0 + part;
  row.valve.plunger.preload_n *= 1.0 + part;
  row.valve.plunger.restitution_ratio = 0.2 + part;
  row.valve.coil.inductance_h *= 1.0 + 2.0 * part;
  row.valve.seat.diameter_m *= 1.0 - part;
  return row;
}

/// What acts on one row: pulses with edges inside steps, each row's own; now and then a reverse
/// share, slow decay, and pressures from a full pump to a drained one.
class Drive {
 public:
  explicit Drive(unsigned seed, double limit_a) : random_(seed), limit_a_(limit_a) {}
  RowStepInput next() {
    if (--left_ <= 0) {
      on_ = !on_;
      left_ = 5 + static_cast<int>(random_() % 120);
      share_ratio_ = 0.001 * static_cast<double>(random_() % 1001);
      pressure_pa_ = 1e5 * static_cast<double>(random_() % 6);
      way_ = random_() % 4;
    } else {
      share_ratio_ = 1.0;
    }
    RowStepInput in{.supply_pressure_pa = pressure_pa_, .supply_voltage_v = 12.0};
    in.current_limit_a = way_ == 2 ? 0.0 : limit_a_;
    in.drive_ratio = on_ ? share_ratio_ : 1.0 - share_ratio_;
    if (!on_) {
      if (way_ == 0) in.reverse_ratio = 0.3 * share_ratio_;
      if (way_ != 1) in.fast_decay_ratio = 0.6 * share_ratio_;
    }
    return in;
  }

 private:
  std::mt19937 random_;  // the standard fixes its sequence
  double limit_a_;
  bool on_ = false;
  int left_ = 0;
  double share_ratio_ = 1.0;
  double pressure_pa_ = 3e5;
  unsigned way_ = 0;
};

std::vector<double> numbers_of(const RowStepOutput& out) {
  return {out.inlet_volume_m3,        out.valve_volume_m3,    out.jet_volume_m3,
          out.jet_speed_mps,          out.current_a,          out.lift_m,
          out.valve_flow_m3ps,        out.outlet_flow_m3ps,   out.hose_end_pressure_pa,
          out.valve_exit_pressure_pa, out.outlet_pressure_pa, out.valve_cavity_m3,
          out.outlet_void_m3,         out.linkage_vs,         static_cast<double>(out.fault)};
}

bool same_bits(const RowStepOutput& a, const RowStepOutput& b) {
  const auto left = numbers_of(a), right = numbers_of(b);
  for (std::size_t k = 0; k < left.size(); ++k)
    if (std::bit_cast<std::uint64_t>(left[k]) != std::bit_cast<std::uint64_t>(right[k]))
      return false;
  return true;
}

/// What the rows did, so that a case that never reached its part is seen.
struct Reached {
  bool vapour = false, jets = false, impacts = false;
};

Reached expect_same(const LaneForm& form, int count, const Change& change, double limit_a,
                    const std::string& what) {
  std::deque<RowUnit> alone, beside;
  std::vector<RowUnit*> rows;
  std::vector<Drive> drives;
  for (int index = 0; index < count; ++index) {
    SolverParams solver{.step_ns = 10'000 + 500 * index};
    RowUnitParams row = member(index, 1e4 / (1e4 + 500.0 * index) * (1.0 + 0.05 * index));
    // L/(a dt) is the number of cells: the same for all.
    row.hose.wave_speed_mps =
        row.hose.length_m / (100.0 * 1e-9 * static_cast<double>(solver.step_ns));
    row.tube.wave_speed_mps =
        row.tube.length_m / (100.0 * 1e-9 * static_cast<double>(solver.step_ns));
    change(row, solver);
    alone.emplace_back(row, solver, 2e5);
    beside.emplace_back(row, solver, 2e5);
    rows.push_back(&beside.back());
    drives.emplace_back(17u + static_cast<unsigned>(index), limit_a);
  }
  Reached reached;
  RowLanes lanes(form, rows);
  std::vector<RowStepInput> inputs(rows.size());
  std::vector<RowStepOutput> outputs(rows.size());
  for (int step = 0; step < 4000; ++step) {
    for (std::size_t lane = 0; lane < rows.size(); ++lane) inputs[lane] = drives[lane].next();
    lanes.step(inputs, outputs);
    for (std::size_t lane = 0; lane < rows.size(); ++lane) {
      const RowStepOutput own = alone[lane].step(inputs[lane]);
      if (!same_bits(own, outputs[lane])) {
        ADD_FAILURE() << what << ", " << form.name << ", row " << lane << ", step " << step;
        return reached;
      }
      reached.jets |= own.jet_volume_m3 > 0.0;
      reached.impacts |= own.lift_m > 0.0;
      if (step % 100 == 0) {
        EXPECT_EQ(alone[lane].stored_volume_m3(), beside[lane].stored_volume_m3()) << what;
        EXPECT_EQ(alone[lane].wave_at_supply_pa(), beside[lane].wave_at_supply_pa()) << what;
        reached.vapour |= alone[lane].line_vapour_m3() > 0.0;
      }
    }
  }
  return reached;
}

void expect_same_in_all_forms(const Change& change, const std::string& what, double limit_a = 0.0) {
  bool vapour = false;
  for (const LaneForm& form : lane_forms()) {
    if (form.single) continue;
    for (const int count : {form.width, form.width - 1}) {
      const Reached reached = expect_same(form, count, change, limit_a, what);
      EXPECT_TRUE(reached.jets && reached.impacts) << what;
      vapour |= reached.vapour;
    }
  }
  EXPECT_TRUE(vapour) << what << ": nothing boiled";
}

TEST(RowLanes, ThereIsAFormForAnyProcessor) {
  ASSERT_GE(lane_forms().size(), 2u);
  EXPECT_EQ(lane_forms().front().width, 2);
  EXPECT_FALSE(lane_forms().front().single);
  EXPECT_TRUE(lane_forms().back().single);
  EXPECT_EQ(lane_form_for(1), nullptr);
  for (const std::size_t rows : {2u, 3u, 8u, 24u}) {
    ASSERT_NE(lane_form_for(rows), nullptr);
    EXPECT_FALSE(lane_form_for(rows)->single);
    EXPECT_LE(static_cast<std::size_t>(lane_form_for(rows)->width), 2 * rows);
  }
}

TEST(RowLanes, PlainRowsHaveTheSameBits) {
  expect_same_in_all_forms([](RowUnitParams&, SolverParams&) {}, "plain");
}

// Tubes of one machine: they differ behind their last stations, by cells and parts of one.
TEST(RowLanes, TubesOfUnlikeLengthHaveTheSameBits) {
  int index = 0;
  expect_same_in_all_forms(
      [&](RowUnitParams& row, SolverParams& solver) {
        row.hose = {.length_m = 0.5, .bore_m = 6e-3, .wave_speed_mps = 500.0};
        row.tube = {.length_m = 0.6, .bore_m = 4e-3, .wave_speed_mps = 400.0};
        row.tube.layout_length_m = row.tube.length_m;
        row.tube.length_m += 7e-3 * (index++ % 5 - 2);
        solver.step_ns = 25'000;
      },
      "unlike tubes");
}

TEST(RowLanes, TheDriversPartsHaveTheSameBits) {
  expect_same_in_all_forms(
      [](RowUnitParams& row, SolverParams&) {
        row.valve.coil.clamp_v = 40.0;
        row.valve.coil.diode_v = 0.7;
      },
      "clamp and diode", 1.2);
  expect_same_in_all_forms([](RowUnitParams& row, SolverParams&) { row.valve.coil.chop_hz = 20e3; },
                           "chopper", 1.2);
}

TEST(RowLanes, SolenoidsOfReluctanceHaveTheSameBits) {
  const auto magnet = [](RowUnitParams& row) {
    Coil& coil = row.valve.coil;
    coil.force_law = ForceLaw::kReluctance;
    coil.inductance_h = 12e-3;
    coil.reluctance = {.gap_m = 1.2e-3,
                       .leakage_h = 1e-3,
                       .saturation_vs = 0.03,
                       .half_current_a = 0.2,
                       .remanence_a = 0.02,
                       .eddy_ohm = 60.0};
  };
  expect_same_in_all_forms([&](RowUnitParams& row, SolverParams&) { magnet(row); }, "reluctance",
                           1.5);
  expect_same_in_all_forms(
      [&](RowUnitParams& row, SolverParams&) {
        magnet(row);
        row.valve.coil.chop_hz = 20e3;
        row.valve.coil.reluctance.saturation_vs = row.valve.coil.reluctance.half_current_a = 0.0;
        row.valve.coil.reluctance.eddy_ohm = 0.0;
      },
      "chopped reluctance without iron", 1.5);
}

TEST(RowLanes, GasCreepLeakAndFrictionHaveTheSameBits) {
  for (const GasPlace place : {GasPlace::kValveExit, GasPlace::kMiddle, GasPlace::kOutlet})
    expect_same_in_all_forms(
        [&](RowUnitParams& row, SolverParams&) { row.gas = {.volume_m3 = 5e-9, .place = place}; },
        "gas at place " + std::to_string(static_cast<int>(place)));
  expect_same_in_all_forms(
      [](RowUnitParams& row, SolverParams&) {
        row.tube.wall = {.thickness_m = 1e-3, .modulus_pa = 5e7};
        row.tube.creep = {{.compliance_ppa = 4e-9, .time_s = 1e-3},
                          {.compliance_ppa = 4e-9, .time_s = 2e-2}};
        row.valve.wear = {.cycles_ratio = 1e8, .life_cycles_ratio = 2e8, .gap_at_life_m = 2e-5};
        row.valve.plunger.coulomb_friction_n = 0.4;
        row.valve.plunger.damping_nspm = 1.5;
      },
      "creep, leak and friction");
}

TEST(RowLanes, TurbulentRowsHaveTheSameBits) {
  expect_same_in_all_forms(
      [](RowUnitParams& row, SolverParams&) {
        row.liquid.viscosity_pas = 1e-3;
        row.outlet.bore_m = 2e-3;
      },
      "thin and fast");
}

// Rows whose step takes another way do not stand side by side.
TEST(RowLanes, OnlyRowsOfOneKindFit) {
  const RowUnit plain(member(0, 1.0), {}, 2e5);
  const auto fits = [&](const Change& change) {
    RowUnitParams row = member(0, 1.0);
    SolverParams solver;
    change(row, solver);
    return RowLanes::fit(plain, RowUnit(row, solver, 2e5));
  };
  EXPECT_TRUE(fits([](RowUnitParams& row, SolverParams&) { row.outlet.bore_m *= 1.1; }));
  EXPECT_FALSE(fits([](RowUnitParams& row, SolverParams&) { row.tube.length_m *= 1.5; }));
  EXPECT_TRUE(fits([](RowUnitParams& row, SolverParams&) {
    row.tube.layout_length_m = row.tube.length_m;
    row.tube.length_m += 15e-3;
  }));
  EXPECT_FALSE(fits([](RowUnitParams&, SolverParams& solver) { solver.hose_stations = 3; }));
  EXPECT_FALSE(fits([](RowUnitParams&, SolverParams& solver) { solver.reference_valve = true; }));
  EXPECT_FALSE(fits([](RowUnitParams& row, SolverParams&) { row.gas.volume_m3 = 1e-9; }));
  EXPECT_FALSE(fits([](RowUnitParams& row, SolverParams&) { row.valve.coil.clamp_v = 30.0; }));
  EXPECT_FALSE(fits([](RowUnitParams& row, SolverParams&) { row.valve.coil.chop_hz = 1e4; }));
}

// A not-a-number in one lane is that row's fault alone.
TEST(RowLanes, AFaultStaysInItsLane) {
  for (const LaneForm& form : lane_forms()) {
    RowUnit first(support::base_row(), {}, 2e5), second(support::base_row(), {}, 2e5);
    RowUnit broken(support::base_row(), {}, 2e5), alone(support::base_row(), {}, 2e5);
    const std::vector<RowUnit*> rows{&first, &second};
    RowLanes lanes(form, rows);
    std::vector<RowStepInput> inputs(2);
    std::vector<RowStepOutput> outputs(2);
    int faults = 0;
    for (int step = 0; step < 300; ++step) {
      inputs[0] =
          inputs[1] = {.supply_pressure_pa = 3e5, .supply_voltage_v = 12.0, .drive_ratio = 1.0};
      if (step == 200) inputs[0].supply_pressure_pa = std::numeric_limits<double>::quiet_NaN();
      lanes.step(inputs, outputs);
      const RowStepOutput own = alone.step(inputs[1]);
      EXPECT_EQ(outputs[0].fault, broken.step(inputs[0]).fault) << form.name << " " << step;
      EXPECT_EQ(outputs[1].fault, RowFault::kNone) << form.name << " " << step;
      faults += outputs[0].fault == RowFault::kNotANumber ? 1 : 0;
      if (!form.single) {
        ASSERT_TRUE(same_bits(own, outputs[1])) << step;
      }
    }
    EXPECT_GT(faults, 0) << form.name;
  }
}

// A row may be plugged, and its state looked at, while it stands in lanes; it goes on alone from
// where it was.
TEST(RowLanes, ARowComesBackAsItWas) {
  const LaneForm& form = lane_forms().front();
  RowUnit first(support::base_row(), {}, 2e5), second(support::base_row(), {}, 2e5);
  RowUnit alone(support::base_row(), {}, 2e5);
  Outlet plugged = support::base_row().outlet;
  plugged.bore_m *= 0.5;
  std::vector<RowStepInput> inputs(2);
  std::vector<RowStepOutput> outputs(2);
  Drive drive(3, 0.0);
  {
    const std::vector<RowUnit*> rows{&first, &second};
    RowLanes lanes(form, rows);
    for (int step = 0; step < 900; ++step) {
      if (step == 300) second.set_outlet(plugged), alone.set_outlet(plugged);
      if (step == 500) second.set_coil_resistance(5.0), alone.set_coil_resistance(5.0);
      if (step == 600) second.set_seat_open(0.5), alone.set_seat_open(0.5);
      inputs[0] = inputs[1] = drive.next();
      lanes.step(inputs, outputs);
      ASSERT_TRUE(same_bits(alone.step(inputs[1]), outputs[1])) << step;
    }
  }
  for (int step = 0; step < 900; ++step) {
    const RowStepInput in = drive.next();
    ASSERT_TRUE(same_bits(alone.step(in), second.step(in))) << step;
  }
}

}  // namespace
}  // namespace model
