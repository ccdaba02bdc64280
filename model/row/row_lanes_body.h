// The step of model/row/row_step.h over lanes, written once for every width of register and for
// both precisions. Each of row_lanes_2.cc, _4 and _8 includes this file and is compiled for its own
// processors; all names stand in an unnamed namespace (model/lanes.h says why).
//
// Errors   EXPECTS as model/row/row_lanes.h
// Checked  tests/model/row/row_lanes_test.cc
#pragma once

#include "model/denormals.h"
#include "model/fluid/line_wide_body.h"
#include "model/lanes.h"
#include "model/row/row_lanes.h"
#include "model/row/row_visit.h"
#include "shared/check.h"

namespace model {
namespace {

// What the templates of the step ask of a number type beyond model/number.h.

template <class Number, int kWidth>
Lanes<Number, kWidth> earlier_wave_pa(const LinePlan<Lanes<Number, kWidth>>& plan,
                                      const LineState<Lanes<Number, kWidth>>& state,
                                      const Lanes<Number, kWidth>* column_pa) {
  const std::size_t middle = state.step - static_cast<std::size_t>(plan.middle_delay);
  const auto row_of = [&](int lane) {
    return ring_row(middle, -plan.outlet_offset.lanes[lane], plan.row_mask) * plan.stride;
  };
  if (plan.outlet_offset.same) return column_pa[row_of(0)];
  Lanes<Number, kWidth> found_pa;
  for (int lane = 0; lane < kWidth; ++lane)
    found_pa.numbers[lane] = column_pa[row_of(lane)].numbers[lane];
  return found_pa;
}

template <class Number, int kWidth>
void put_ahead_of_middle(const LinePlan<Lanes<Number, kWidth>>& plan,
                         const LineState<Lanes<Number, kWidth>>& state,
                         const Lanes<Number, kWidth>& wave_pa, Lanes<Number, kWidth>* column_pa) {
  const auto row_of = [&](int lane) {
    return ring_row(state.step, plan.outlet_offset.lanes[lane], plan.row_mask) * plan.stride;
  };
  if (plan.outlet_offset.same) {
    column_pa[row_of(0)] = wave_pa;
    return;
  }
  for (int lane = 0; lane < kWidth; ++lane)
    column_pa[row_of(lane)].numbers[lane] = wave_pa.numbers[lane];
}

template <class Number, int kWidth>
Lanes<Number, kWidth> pass_stations_m3(const LinePlan<Lanes<Number, kWidth>>&,
                                       const StationView<Lanes<Number, kWidth>>& view) {
  using Real = Lanes<Number, kWidth>;
  const StationView<Real> at = view;
  const auto pass = [&at]<std::size_t kTerms>() {
    Real vapour_m3;
    for (std::size_t j = 0; j < at.count; ++j) pass_register<Real, Real, kTerms>(at, j, vapour_m3);
    return vapour_m3;
  };
  if (at.terms == 5) return pass.template operator()<5>();
  if (at.terms == 6) return pass.template operator()<6>();
  return pass.template operator()<0>();
}

template <class Number, int kWidth>
Lanes<Number, kWidth> lowest_meeting_pa(const LinePlan<Lanes<Number, kWidth>>&,
                                        const LineState<Lanes<Number, kWidth>>& state) {
  Lanes<Number, kWidth> lowest_pa(kNoWave_pa);
  for (std::size_t i = 0; i < state.f_lowest_pa.size(); ++i)
    lowest_pa = min_of(lowest_pa, min_of(state.f_lowest_pa[i], state.f_lowest_before_pa[i]) +
                                      min_of(state.g_lowest_pa[i], state.g_lowest_before_pa[i]));
  return lowest_pa;
}

template <class Number, int kWidth>
void scan_segments(const LinePlan<Lanes<Number, kWidth>>& plan,
                   LineState<Lanes<Number, kWidth>>& state) {
  for (std::size_t i = 0; i < state.holds.size(); ++i)
    if (any(state.holds[i]))
      state.holds[i] = scan_segment(plan, state, static_cast<int>(i), state.holds[i]);
}

template <class Number, int kWidth>
TurbulenceOf<Lanes<Number, kWidth>> turbulence_at(const Lanes<Number, kWidth>& reynolds_ratio) {
  TurbulenceOf<Lanes<Number, kWidth>> found;
  for (int lane = 0; lane < kWidth; ++lane) {
    const Turbulence one = model::turbulence_at(reynolds_ratio.lane(lane));
    found.extra_ratio.set_lane(lane, one.extra_ratio);
    found.loss_ratio.set_lane(lane, one.loss_ratio);
  }
  return found;
}

/// Rows with a measured table do not stand in lanes.
template <class Number, int kWidth>
FluxPoint<Lanes<Number, kWidth>> flux_of_linkage(const FluxTablePlan&, Lanes<Number, kWidth>,
                                                 Lanes<Number, kWidth>) {
  EXPECTS(false);
  return {};
}

/// Fills one lane of a plan or state from lists (row_visit.h).
template <class Real>
class LaneLoader {
 public:
  LaneLoader(const FlatRow& from, int lane, bool first)
      : real_(from.reals.data()),
        whole_(from.wholes.data()),
        own_(from.owns.data()),
        lane_(lane),
        first_(first) {}
  void real(Real& number) { number.set_lane(lane_, *real_++); }
  void reals(std::vector<Real>& numbers) {
    resize(numbers);
    for (Real& one : numbers) real(one);
  }
  template <class Whole>
  void whole(Whole& number) {
    const std::int64_t own = *whole_++;
    if (first_) number = static_cast<Whole>(own);
    EXPECTS(static_cast<std::int64_t>(number) == own);
  }
  void longest(int& number) {
    const int own = static_cast<int>(*own_++);
    if (first_ || number < own) number = own;
  }
  template <int kWidth>
  void own_whole(LaneWholes<kWidth>& numbers) {
    numbers.lanes[lane_] = static_cast<int>(*own_++);
    numbers.same = true;
    for (const int one : numbers.lanes) numbers.same &= one == numbers.lanes[0];
  }
  template <class Many>
  void resize(Many& many) {
    const auto size = static_cast<std::size_t>(*whole_++);
    if (first_) many.resize(size);
    EXPECTS(many.size() == size);
  }
  template <class Mask>
  void flag(Mask& mask) {
    mask.set_lane(lane_, *real_++ > 0.5);
  }
  template <class Mask>
  void flags(std::vector<Mask>& masks) {
    resize(masks);
    for (Mask& mask : masks) flag(mask);
  }

 private:
  const double* real_;  // tidy: unit is that of the value
  const std::int64_t* whole_;
  const std::int64_t* own_;
  int lane_;
  bool first_;
};

/// Lists one lane.
template <class Real>
class LaneLister {
 public:
  LaneLister(FlatRow& into, int lane) : into_(into), lane_(lane) {}
  void real(const Real& number) { into_.add_real(number.lane(lane_)); }
  void reals(const std::vector<Real>& numbers) {
    resize(numbers);
    for (const Real& one : numbers) real(one);
  }
  template <class Whole>
  void whole(Whole number) {
    into_.wholes.push_back(static_cast<std::int64_t>(number));
  }
  template <class Many>
  void resize(const Many& many) {
    into_.wholes.push_back(static_cast<std::int64_t>(many.size()));
  }
  template <class Mask>
  void flag(const Mask& mask) {
    into_.add_real(mask.lane(lane_) ? 1.0 : 0.0);
  }
  template <class Mask>
  void flags(const std::vector<Mask>& masks) {
    resize(masks);
    for (const Mask& mask : masks) flag(mask);
  }

 private:
  FlatRow& into_;
  int lane_;
};

template <class Number, int kWidth>
class WideSteps final : public LaneSteps {
  using Real = Lanes<Number, kWidth>;

 public:
  void load(int lane, const FlatRow& plan, const FlatRow& state) override {
    const bool first = !loaded_;
    loaded_ = true;
    take_plan(lane, plan, first);
    LaneLoader<Real> state_loader(state, lane, first);
    visit(state_, state_loader);
    state_.hose.holding = state_.tube.holding = true;  // until the next scan sums up
  }
  void load_plan(int lane, const FlatRow& plan) override { take_plan(lane, plan, false); }
  FlatRow store(int lane) const override {
    FlatRow row;
    LaneLister<Real> lister(row, lane);
    visit(const_cast<RowStateOf<Real>&>(state_), lister);
    return row;
  }
  double wave_at_supply_pa(int lane) const override {
    return (arrivals_at(plan_.hose, state_.hose).at_inlet_pa - plan_.hose.inlet_head_pa).lane(lane);
  }
  void step(const RowStepInput* inputs, RowStepOutput* outputs, int rows) override;

 private:
  void take_plan(int lane, const FlatRow& plan, bool first) {
    LaneLoader<Real> loader(plan, lane, first);
    visit(plan_, loader);
    // In float the volume of a cavity of 100 mm3 is rounded by 6e-15 m3: over a step of 10 us,
    // behind an impedance of 4e10 Pa s/m3, that is a pressure of 25 Pa.
    if (sizeof(Number) == 4) plan_.lowest_pa.set_lane(lane, plan_.lowest_pa.lane(lane) - 100.0);
  }
  static RowStepInputOf<Real> gathered(const RowStepInput* inputs, int rows);
  static void scatter(const RowStepOutputOf<Real>& out, RowStepOutput* outputs, int rows);

  RowPlanOf<Real> plan_;
  RowStateOf<Real> state_;
  bool loaded_ = false;
};

template <class Number, int kWidth>
RowStepInputOf<Lanes<Number, kWidth>> WideSteps<Number, kWidth>::gathered(
    const RowStepInput* inputs, int rows) {
  RowStepInputOf<Real> in;
  for (int lane = 0; lane < rows; ++lane) {
    in.supply_pressure_pa.set_lane(lane, inputs[lane].supply_pressure_pa);
    in.supply_voltage_v.set_lane(lane, inputs[lane].supply_voltage_v);
    in.current_limit_a.set_lane(lane, inputs[lane].current_limit_a);
    in.drive_ratio.set_lane(lane, inputs[lane].drive_ratio);
    in.fast_decay_ratio.set_lane(lane, inputs[lane].fast_decay_ratio);
    in.reverse_ratio.set_lane(lane, inputs[lane].reverse_ratio);
  }
  return in;
}

template <class Number, int kWidth>
void WideSteps<Number, kWidth>::scatter(const RowStepOutputOf<Real>& out, RowStepOutput* outputs,
                                        int rows) {
  for (int lane = 0; lane < rows; ++lane)
    outputs[lane] = {.inlet_volume_m3 = out.inlet_volume_m3.lane(lane),
                     .valve_volume_m3 = out.valve_volume_m3.lane(lane),
                     .jet_volume_m3 = out.jet_volume_m3.lane(lane),
                     .jet_speed_mps = out.jet_speed_mps.lane(lane),
                     .current_a = out.current_a.lane(lane),
                     .lift_m = out.lift_m.lane(lane),
                     .valve_flow_m3ps = out.valve_flow_m3ps.lane(lane),
                     .outlet_flow_m3ps = out.outlet_flow_m3ps.lane(lane),
                     .hose_end_pressure_pa = out.hose_end_pressure_pa.lane(lane),
                     .valve_exit_pressure_pa = out.valve_exit_pressure_pa.lane(lane),
                     .outlet_pressure_pa = out.outlet_pressure_pa.lane(lane),
                     .valve_cavity_m3 = out.valve_cavity_m3.lane(lane),
                     .outlet_void_m3 = out.outlet_void_m3.lane(lane),
                     .linkage_vs = out.linkage_vs.lane(lane)};
}

template <class Number, int kWidth>
void WideSteps<Number, kWidth>::step(const RowStepInput* inputs, RowStepOutput* outputs, int rows) {
  const DenormalGuard flush;
  const RowStepInputOf<Real> in = gathered(inputs, rows);
  const RowFlows<Real> flows =
      step_row(plan_, state_, in.supply_pressure_pa, [&](const Real& f_pa, const Real& g_pa) {
        return step_valve(plan_.valve, state_.valve, f_pa, g_pa, in);
      });
  scatter(output_of(plan_, state_, flows), outputs, rows);
  const auto finite = abs_of(sum_of_all(flows, state_)) < Real(kHighestSum_ratio);
  const auto negative = negative_volume(flows, state_);
  const auto below = below_vapour(plan_, flows);
  if (all(finite) && !any(negative | below)) [[likely]]
    return;
  for (int lane = 0; lane < rows; ++lane)
    outputs[lane].fault = fault_of(finite.lane(lane), negative.lane(lane), below.lane(lane));
}

template <class Number, int kWidth>
std::unique_ptr<LaneSteps> make_steps() {
  return std::make_unique<WideSteps<Number, kWidth>>();
}

}  // namespace
}  // namespace model
