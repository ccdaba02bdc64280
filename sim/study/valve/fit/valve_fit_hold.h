// Which unknowns a fit holds: those that the trace does not determine. Easily measured ones go
// first.
//
//   N = information of the unknowns with the nuisance shifts eliminated (Schur complement). Each
//       unknown is in units of the value that its width is judged against (itself; friction: the
//       preload; restitution: one half)
//   While the widest 95 % interval exceeds told_ratio: the weakest direction is the eigenvector of
//   the smallest eigenvalue of N. Of the unknowns whose part in it exceeds 0.3 of the largest part,
//   the one that a person can measure first is held, and N loses its row and column.
//
// Errors   none
// Source   eigenvectors of the information as weak directions: any textbook of regression
// Checked  tests/sim/study/valve/fit/valve_fit_test.cc
#pragma once

#include <array>
#include <atomic>
#include <string>

#include "sim/study/valve/fit/valve_fit_problem.h"
#include "sim/study/valve/fit/valve_fit_solve.h"

namespace sim::valve {

struct Settled {
  SquaresFit fit;
  std::array<std::string, kMostUnknowns> why_held;
};

/// The value that an unknown's width is judged against, in units of its x.
double judged_against(const Unknown& unknown, const model::Valve& valve);  // tidy: unit of x

/// Mass and seat, each measured in a minute: they give all other values their scale.
bool gives_scale(const Unknown& unknown);

/// Whether sums of neighbouring residuals exceed chi-square at level 0.999: noise alone is not
/// correlated from sample to sample.
bool more_than_noise(const FitProblem& problem, const SquaresFit& solved);
/// Fits every unknown that the trace determines; afterwards problem.free lists them.
Settled settle(FitProblem& problem, double told_ratio, const std::atomic<bool>* stop);

}  // namespace sim::valve
