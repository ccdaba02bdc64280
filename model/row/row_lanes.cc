#include "model/row/row_lanes.h"

#include <array>

#include "model/fluid/line_wide.h"
#include "model/row/row_flat.h"
#include "shared/check.h"

namespace model {

LaneForm lanes_2();
LaneForm lanes_2_single();
#if defined(__x86_64__)
LaneForm lanes_4();
LaneForm lanes_4_single();
LaneForm lanes_8();
LaneForm lanes_8_single();
#endif

namespace {

struct Runnable {
  std::array<LaneForm, 6> forms{};
  std::size_t count = 0;

  Runnable() {
    const auto put = [this](LaneForm (*const(&by_width)[3])(), std::size_t widths) {
      for (std::size_t k = 0; k < widths; ++k) forms[count++] = by_width[k]();
    };
#if defined(__x86_64__)
    LaneForm (*const in_double[3])() = {lanes_2, lanes_4, lanes_8};
    LaneForm (*const in_single[3])() = {lanes_2_single, lanes_4_single, lanes_8_single};
#else
    LaneForm (*const in_double[3])() = {lanes_2, nullptr, nullptr};
    LaneForm (*const in_single[3])() = {lanes_2_single, nullptr, nullptr};
#endif
    // Both have a file for each of the same kinds of processors.
    put(in_double, line_kernels().size());
    put(in_single, line_kernels().size());
  }
};

/// Signs of numbers by which a step takes another way, in one order.
std::vector<bool> ways_of(const RowPlan& plan) {
  const ActuatorPlan<double>& magnet = plan.valve.actuator;
  const BridgeEnds& ends = plan.valve.coil.ends;
  return {magnet.iron.saturation_vs > 0.0,
          magnet.iron.eddy_siemens > 0.0,
          ends.clamp_v > 0.0,
          ends.diode_v > 0.0,
          ends.chop_s > 0.0,
          plan.valve.seat.leak_m3pspa > 0.0};
}

}  // namespace

std::span<const LaneForm> lane_forms() {
  static const Runnable runnable;
  return {runnable.forms.data(), runnable.count};
}

const LaneForm* lane_form_for(std::size_t rows) {
  const LaneForm* found = nullptr;
  for (const LaneForm& form : lane_forms())
    if (!form.single && rows >= 2 && 2 * rows >= static_cast<std::size_t>(form.width))
      found = &form;
  return found;
}

bool RowLanes::fit(const RowUnit& a, const RowUnit& b) {
  for (const RowUnit* unit : {&a, &b})
    if (unit->plan_->reference_valve || unit->plan_->valve.actuator.by_table) return false;
  return flat(*a.plan_).wholes == flat(*b.plan_).wholes &&
         flat(*a.state_).wholes == flat(*b.state_).wholes && ways_of(*a.plan_) == ways_of(*b.plan_);
}

RowLanes::RowLanes(const LaneForm& form, std::span<RowUnit* const> rows)
    : rows_(rows.begin(), rows.end()), steps_(form.make()) {
  EXPECTS(!rows.empty() && rows.size() <= static_cast<std::size_t>(form.width));
  for (const RowUnit* row : rows) EXPECTS(row->lanes_ == nullptr && fit(*rows.front(), *row));
  // Lanes without a row of their own repeat the first: nothing in them may be rare.
  for (int lane = 0; lane < form.width; ++lane) {
    const auto index = static_cast<std::size_t>(lane);
    const RowUnit& row = index < rows.size() ? *rows[index] : *rows.front();
    steps_->load(lane, flat(*row.plan_), flat(*row.state_));
  }
  for (std::size_t lane = 0; lane < rows_.size(); ++lane) {
    rows_[lane]->lanes_ = steps_.get();
    rows_[lane]->lane_ = static_cast<int>(lane);
  }
}

RowLanes::~RowLanes() {
  for (RowUnit* row : rows_) {
    row->state();
    row->lanes_ = nullptr;
  }
}

void RowLanes::step(std::span<const RowStepInput> inputs, std::span<RowStepOutput> outputs) {
  EXPECTS(inputs.size() == rows_.size() && outputs.size() == rows_.size());
  steps_->step(inputs.data(), outputs.data(), static_cast<int>(rows_.size()));
}

}  // namespace model
