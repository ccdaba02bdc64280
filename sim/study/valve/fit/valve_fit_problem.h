// What a fit of a valve may move, and the residuals of a trace over it.
//
//   x       ln(value / start) of what is positive, (value - start) of friction and restitution;
//           behind them two nuisance shifts a pulse: a sampled command's edges lie up to half a
//           sample off
//   shift   prior of an even sample: sd of sample time / root 12
//
// Shapes   rows as valve_fit_model.h, and the two priors behind each pulse
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
  int by_hand;          // the smaller, the sooner held: what a person can measure
  const char* measure;  // how
};
inline constexpr std::size_t kUnknownCount = 10;
inline constexpr std::int64_t kFitStep_ns = 2'000;
extern const std::array<Unknown, kUnknownCount> kUnknowns;

/// Everything that the residuals of one fit need: fixed pulses, which unknowns are free.
class FitProblem {
 public:
  FitProblem(const rig::RigSetup& setup, std::vector<FitRun> runs, double sample_hz,
             const model::Valve& start)
      : setup_(setup), runs_(std::move(runs)), sample_s_(1.0 / sample_hz), start_(start) {
    for (const FitRun& run : runs_) pulses_ += run.pulses.size();
  }

  std::vector<std::size_t> free;    // of kUnknowns
  double emf_softness_ratio = 1.0;  // its noise is taken so much larger: far from the solution

  Eigen::Index size() const { return static_cast<Eigen::Index>(free.size() + 2 * pulses_); }
  std::size_t pulses() const { return pulses_; }
  const std::vector<FitRun>& runs() const { return runs_; }
  model::Valve valve_at(const Eigen::VectorXd& x) const;
  /// Of one run's pulses, in their order.
  std::vector<EdgeShift> shifts_of(std::size_t run, const Eigen::VectorXd& x) const;
  /// Keeps the simulation at x: columns of shifts need no other.
  void remember(const Eigen::VectorXd& x, std::int64_t step_ns);
  Eigen::VectorXd residuals(const Eigen::VectorXd& x, std::int64_t step_ns) const;
  /// Rows of the measured current in units of its noise, others zero: what a gain would change.
  Eigen::VectorXd gain_rows() const;
  /// Change of all residuals by a unit of x of an unknown that is not free (central difference).
  Eigen::VectorXd change_by(const Eigen::VectorXd& x, std::size_t unknown,
                            std::int64_t step_ns) const;
  /// Change of all residuals when one run's supplies lie a standard error higher, each in turn.
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
