// How exactly a row's lines have to be computed: friction at few stations is right to 0.02 mm for a
// short wide tube and wrong by millimetres for a long thin one.
//
//   A short train of the row's own pulses runs in the dense form (friction in every cell, contacts
//   located) and in faster forms, in the order of their cost:
//     as asked               the scenario's stations and terms, midpoint valve
//     four times the stations, then every cell, with 8 terms; contacts located
//     dense
//   The first whose bands lie within 0.15 mm (0.25 mm where the lines hold vapour) and 1 % of dose
//   of the dense form's is taken. Differences are root mean squares over start, end and centre of
//   all bands that are compared: single bands of a train with vapour flip by millimetres in every
//   form, the dense one included.
//   step   where the step is automatic as well, a fast form then takes longer steps, one by one
//          up to 50 us, as long as all bands stay within 0.15 mm, vapour or not, and 1 % of dose of
//          the dense form at the usual step
//   own    how far the dense form's bands move when its step is doubled. Where that is more than
//          the limit, no form can hold it: the row's bands depend on the step, and a form is taken
//          that differs from the dense one by no more than half of that
//   tests/sim/bench/line_form_slow_test.cc prints this for rates, pressures and liquids over all
//   attachments of the catalog.
//
// Source   limits: this project's goals; no outside source
// Errors   as run_train
// Checked  tests/sim/bench/line_form_test.cc
#pragma once

#include <cstdint>

#include "model/row_params.h"
#include "sim/bench/pulse_train.h"
#include "sim/scenario/scenario.h"

namespace sim::bench {

/// Bands of one form less those of the dense one, over the bands that both lay.
struct BandDifference {
  double places_m = 0.0;  // root mean square of start, end and centre
  double largest_m = 0.0;
  double dose_ratio = 0.0;  // root mean square
  int compared = 0;
};

/// What was found for a row's lines, and by how much.
struct FormChoice {
  model::SolverParams solver;  // what the row is computed with
  bool judged = false;         // false: the form was stated, or the row lays no band to judge by
  bool vapour = false;         // the lines held vapour while it was judged
  double limit_m = 0.0;
  BandDifference asked;  // of the form that was asked for
  BandDifference taken;
  BandDifference own;              // the dense form at twice its step
  std::int64_t usual_step_ns = 0;  // that the step is longer than; 0: it is no longer
  BandDifference usual_step;       // of the same form at the usual step
  bool holds() const { return taken.places_m <= limit_m && taken.dose_ratio <= kDose_ratio; }
  bool depends_on_step() const { return own.places_m > limit_m || own.dose_ratio > kDose_ratio; }
  bool longer_step() const { return usual_step_ns > 0; }
  static constexpr double kDose_ratio = 0.01;
  static constexpr double kPlace_m = 0.15e-3;  // without vapour, and of every longer step
};

/// Root mean squares over all pulses, of five or more from the third on; `compared` is 0 where no
/// pulse has a band in both.
BandDifference difference_of(const std::vector<TrainPulse>& a, const std::vector<TrainPulse>& b);

/// Judges a row on `train`, and with `lengthens` also how long its step may be.
FormChoice judge_line_form(const model::RowUnitParams& row, const model::SolverParams& asked,
                           const PulseTrain& train, bool lengthens = false);

/// The form of a scenario's row, judged on its nominal row at its judged speed and rate; computed
/// once per process for scenarios that do not differ in it. An ideal row has no lines, and a stated
/// form is taken as it is.
FormChoice line_form_of(const scenario::Scenario& scenario);

/// The scenario with the form that was found in place of `auto`. This takes less than the whole
/// judgement: `own` is computed only where it decides.
scenario::Scenario with_line_form(const scenario::Scenario& scenario);

}  // namespace sim::bench
