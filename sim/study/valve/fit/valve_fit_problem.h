// The unknowns of a valve's fit, and the residuals of a trace as a function of them.
//
//   x       ln(value / start) of positive values, (value - start) of friction and restitution;
//           after these, two nuisance shifts per pulse: the edges of a sampled command lie up to
//           half a sample off
//   known   values of a magnetic circuit that the setup states: prior ln(value/setup) with an sd of
//           known_ratio/1.96
//   shift   prior of an even spread over one sample: sd = sample time / root 12
//
// Shapes   rows as valve_fit_model.h, with the two priors after the rows of each pulse; at the end
//          one row per value that counts as known
// Errors   those of valve_fit_model.h
// Checked  tests/sim/study/valve/fit/valve_fit_test.cc
#pragma once

#include <Eigen/Dense>
#include <array>
#include <span>
#include <utility>
#include <vector>

#include "sim/study/valve/fit/valve_fit_model.h"

namespace sim::valve {

/// One value of the valve that a fit may move.
struct Unknown {
  const char* key;
  const char* name;
  double& (*in)(model::Valve&);
  bool logarithm;       // else linear, in units of `scale_si`
  double scale_si;      // tidy: unit the value's
  double step_ratio;    // of the central difference
  double least_si;      // tidy: unit the value's
  double most_si;       // tidy: unit the value's
  int by_hand;          // the smallest is held first: what a person can measure
  const char* measure;  // how a person measures it
  /// Above 0: the setup's value counts as known to so much of itself (95 %), and the fit starts
  /// from there instead of holding it.
  double known_ratio = 0.0;
};
inline constexpr std::size_t kMostUnknowns = 14;
inline constexpr std::int64_t kFitStep_ns = 2'000;
/// Of a valve whose coil has this force law. Both lists have the same places for what both have;
/// the working gap takes the place of the force constant.
std::span<const Unknown> unknowns_of(model::ForceLaw law);

/// Everything that the residuals of one fit need: the fixed pulses and which unknowns are free.
class FitProblem {
 public:
  FitProblem(const rig::RigSetup& setup, std::vector<FitRun> runs, double sample_hz,
             const model::Valve& start)
      : unknowns(unknowns_of(setup.part.valve.coil.force_law)),
        setup_(setup),
        runs_(std::move(runs)),
        sample_s_(1.0 / sample_hz),
        start_(start) {
    for (const FitRun& run : runs_) pulses_ += run.pulses.size();
  }

  std::span<const Unknown> unknowns;
  std::vector<std::size_t> free;    // indices of unknowns
  double emf_softness_ratio = 1.0;  // factor on the back-EMF's noise; above 1 far from the solution

  Eigen::Index size() const { return static_cast<Eigen::Index>(free.size() + 2 * pulses_); }
  std::size_t pulses() const { return pulses_; }
  const std::vector<FitRun>& runs() const { return runs_; }
  /// Whether the setup states a value that a logarithm can move.
  bool stated(std::size_t unknown) const;
  /// "held at the setup's value", or where the trace's pulses put the start.
  const char* held_words(std::size_t unknown) const;
  model::Valve valve_at(const Eigen::VectorXd& x) const;
  /// Gives an unknown that is not free this value.
  void hold_at(std::size_t unknown, double value_si);  // tidy: unit the value's
  /// The shifts of one run's pulses, in their order.
  std::vector<EdgeShift> shifts_of(std::size_t run, const Eigen::VectorXd& x) const;
  /// Keeps the simulation at x: the Jacobian's columns of shifts need no other.
  void remember(const Eigen::VectorXd& x, std::int64_t step_ns);
  Eigen::VectorXd residuals(const Eigen::VectorXd& x, std::int64_t step_ns) const;
  /// The rows of the measured current in units of its noise, zero elsewhere: the effect of a
  /// gain.
  Eigen::VectorXd gain_rows() const;
  /// Change of all residuals per unit of x of an unknown that is not free (central difference).
  Eigen::VectorXd change_by(const Eigen::VectorXd& x, std::size_t unknown,
                            std::int64_t step_ns) const;
  /// For each run: change of all residuals when its supplies are one standard error higher.
  std::vector<Eigen::VectorXd> supply_rows(const Eigen::VectorXd& x, std::int64_t step_ns) const;
  std::vector<int> blocks() const;
  double current_square_ratio(const Eigen::VectorXd& left) const;  // mean square of current rows

 private:
  std::vector<std::size_t> known() const;  // unknowns that count as known
  std::vector<FitCourse> courses_at(const Eigen::VectorXd& x, std::int64_t step_ns) const;
  Eigen::VectorXd rows_of(const std::vector<FitCourse>& courses, const Eigen::VectorXd& x) const;

  const rig::RigSetup& setup_;
  std::vector<FitRun> runs_;
  std::size_t pulses_ = 0;
  double sample_s_;
  model::Valve start_;
  Eigen::VectorXd remembered_x_;
  std::int64_t remembered_ns_ = 0;
  std::vector<FitCourse> remembered_;
};

}  // namespace sim::valve
