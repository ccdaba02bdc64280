// Generic ODE stepping with events: the one place of the model that includes Odeint.
//
//   dy/dt = rate(y), from t = 0 to `span_s`, by Dormand and Prince's embedded 5(4) pair with error
//   control; after each accepted step an event g(y) that went from >= 0 to < 0 is located by
//   bisection on the pair's continuous output
//
// Shapes   std::array<double, N> states; rate(const State&, State&); event(const State&) -> double
// Errors   EXPECTS span_s > 0; relative and absolute tolerances are the caller's
// Source   Boost.Odeint 1.74, runge_kutta_dopri5 with dense output
// Checked  tests/model/integrate_test.cc
#pragma once

#include <algorithm>
#include <array>
#include <boost/numeric/odeint/stepper/controlled_runge_kutta.hpp>
#include <boost/numeric/odeint/stepper/dense_output_runge_kutta.hpp>
#include <boost/numeric/odeint/stepper/generation.hpp>
#include <boost/numeric/odeint/stepper/generation/generation_runge_kutta_dopri5.hpp>
#include <boost/numeric/odeint/stepper/runge_kutta_dopri5.hpp>
#include <cstddef>

#include "model/tolerance.h"
#include "shared/check.h"

namespace model {

/// Moves y to span_s or to the first event, whichever comes first; returns the time reached.
template <std::size_t N, class Rate, class Event>
double integrate_until_s(std::array<double, N>& y,  // tidy: unit is each state's own
                         double span_s, const Rate& rate, const Event& event,
                         const Tolerance& tolerance) {
  namespace odeint = boost::numeric::odeint;
  using State = std::array<double, N>;
  EXPECTS(span_s > 0.0);
  auto stepper = odeint::make_dense_output(tolerance.absolute_ratio, tolerance.relative_ratio,
                                           odeint::runge_kutta_dopri5<State>());
  const auto system = [&](const State& at, State& out, double) { rate(at, out); };
  stepper.initialize(y, 0.0, span_s);
  while (stepper.current_time() < span_s) {
    const auto [before_s, after_s] = stepper.do_step(system);
    const double end_s = std::min(after_s, span_s);
    State at_end{};
    stepper.calc_state(end_s, at_end);
    if (event(at_end) < 0.0) {
      double low_s = before_s;
      double high_s = end_s;
      for (int halving = 0; halving < 50 && high_s - low_s > 1e-15; ++halving) {
        const double middle_s = 0.5 * (low_s + high_s);
        State at_middle{};
        stepper.calc_state(middle_s, at_middle);
        if (event(at_middle) < 0.0) {
          high_s = middle_s;
        } else {
          low_s = middle_s;
        }
      }
      stepper.calc_state(high_s, y);
      return high_s;
    }
    y = at_end;
  }
  return span_s;
}

}  // namespace model
