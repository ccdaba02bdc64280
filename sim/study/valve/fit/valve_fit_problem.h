// The unknowns of a valve's fit, and the residuals of a trace as a function of them.
//
//   x       ln(value / start) of positive values, (value - start) of friction and restitution;
//           after these, two nuisance shifts per pulse: the edges of a sampled command lie up to
//           half a sample off
//   shift   prior of an even spread over one sample: sd = sample time / root 12
//
// Shapes   rows as valve_fit_model.h, with the two priors after the rows of each pulse
// Errors   those of valve_fit_model.h
// Checked  tests/sim/study/valve/fit/valve_fit_test.cc
#pragma once

#include <Eigen/Dense>
#include <array>
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
};
inline constexpr std::size_t kUnknownCount = 10;
inline constexpr std::int64_t kFitStep_ns = 2'000;
extern const std::array<Unknown, kUnknownCount> kUnknowns;

/// Everything that the residuals of one fit need: the fixed pulses and which unknowns are free.
class FitProblem {
 public:
  FitProblem(const rig::RigSetup& setup, std::vector<FitRun> runs, double sample_hz,
             const model::Valve& start)
      : setup_(setup), runs_(std::move(runs)), sample_s_(1.0 / sample_hz), start_(start) {
    for (const FitRun& run : runs_) pulses_ += run.pulses.size();
  }

  std::vector<std::size_t> free;    // indices of kUnknowns
  double emf_softness_ratio = 1.0;  // factor on the back-EMF's noise; above 1 far from the solution

  Eigen::Index size() const { return static_cast<Eigen::Index>(free.size() + 2 * pulses_); }
  std::size_t pulses() const { return pulses_; }
  const std::vector<FitRun>& runs() const { return runs_; }
  model::Valve valve_at(const Eigen::VectorXd& x) const;
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
