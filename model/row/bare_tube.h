// A tube alone between an ideal inlet and an end: the row's line and outlet without hose and valve,
// for checks against exact solutions.
//
//   step:  waves arrive at both ends -> the inlet answers as prescribed, with a pocket where gas or
//          vapour stands -> the end passes or holds back liquid -> the line goes on by one cell
//   before t = 0: the steady flow of the inlet's first value, R Q + end(Q) = p_in
//
// The step divides the tube exactly: dt = L/(a N), N the nearest whole number to L/(a step), so the
// wave speed is the one asked for.
// Shapes   scalars and the arrays of one line
// Errors   std::invalid_argument: unphysical values, a step longer than half the travel time, ends
//          that contradict each other; step() returns fault != kNone as RowUnit does
// Source   as model/row/row_unit.h
// Checked  tests/model/row/bare_tube_test.cc, tests/published/
#pragma once

#include <memory>

#include "model/fluid/ideal_inlet.h"
#include "model/row/row_unit.h"

namespace model {

struct BareTubeFit {
  double step_s = 0.0;
  int cells = 0;
};

class BareTube {
 public:
  /// Uses liquid, tube, outlet, end, gas and atmosphere of `params`. first_value: the inlet's value
  /// at and before t = 0, in its unit.
  BareTube(const RowUnitParams& params, const IdealInlet& inlet, const SolverParams& solver,
           double first_value);  // tidy: unit is the kind's
  ~BareTube();
  BareTube(BareTube&&) noexcept;
  BareTube& operator=(BareTube&&) noexcept;

  /// One step with the inlet's mean value over it. inlet_volume_m3 is what came from outside; the
  /// valve's fields hold the inlet's values.
  RowStepOutput step(double inlet_value);  // tidy: unit is the kind's
  const BareTubeFit& fit() const;
  double steady_flow_m3ps() const;  // before t = 0
  double steady_inlet_pressure_pa() const;
  double steady_outlet_pressure_pa() const;
  double stored_volume_m3() const;
  /// Pressure half way along, mean of the last step; EXPECTS an even number of cells, no cavities.
  double middle_pressure_pa() const;
  /// First station that holds a not-a-number or an absurd pressure; -1: none.
  int first_bad_station() const;

 private:
  struct Parts;
  std::unique_ptr<Parts> parts_;
};

}  // namespace model
