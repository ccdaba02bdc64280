#include "sim/bench/line_form.h"

#include <tbb/parallel_invoke.h>

#include <algorithm>
#include <cmath>
#include <optional>
#include <stdexcept>
#include <string>

#include "sim/bench/errors.h"
#include "sim/bench/judged_work.h"
#include "sim/bench/once_table.h"
#include "sim/bench/row_fixed.h"
#include "sim/scenario/loader.h"
#include "sim/scenario/rate_zones.h"

namespace sim::bench {
namespace {

constexpr double kVapourLimit_m = 0.25e-3;
/// Where the dense form itself moves by more than the limit, a form may differ from it by this
/// share of that.
constexpr double kOwnShare_ratio = 0.5;
constexpr std::int64_t kSteps_ns[] = {15'000, 20'000, 30'000, 40'000, 50'000};
constexpr int kPulses = 8;
/// The first pulses of a long train meet a column that is not yet stirred, and are left out.
constexpr std::size_t kLongTrain = 5;
constexpr std::size_t kUnstirred = 2;
constexpr int kFinerTimes = 4;
constexpr int kFinerTerms = 8;
constexpr int kEveryCell = 1000;  // a line takes no more stations than it has cells
/// Limits the memory that a long sweep uses.
constexpr std::size_t kMostInMemory = 256;

bool laid(const TrainPulse& pulse) {
  return std::isfinite(pulse.band.start_x_ground_m) && std::isfinite(pulse.band.end_x_ground_m) &&
         std::isfinite(pulse.band.centre_x_ground_m) && pulse.band.dose_m3 > 0.0;
}

model::SolverParams finer(const model::SolverParams& asked, int hose_stations, int tube_stations) {
  model::SolverParams solver = asked;
  solver.hose_stations = std::max(asked.hose_stations, hose_stations);
  solver.tube_stations = std::max(asked.tube_stations, tube_stations);
  solver.kernel_terms = std::max(asked.kernel_terms, kFinerTerms);
  solver.reference_valve = true;
  return solver;
}

/// The faster forms in the order of their cost, the one that was asked for first.
std::vector<model::SolverParams> faster_forms(const model::SolverParams& asked) {
  return {asked, finer(asked, kFinerTimes * asked.hose_stations, kFinerTimes * asked.tube_stations),
          finer(asked, kEveryCell, kEveryCell)};
}

bool holds_vapour(const std::vector<TrainPulse>& pulses) {
  return std::any_of(pulses.begin(), pulses.end(),
                     [](const TrainPulse& pulse) { return pulse.largest_vapour_m3 > 0.0; });
}

PulseTrain judged_train(const scenario::Scenario& scenario) {
  const double speed_mps = judged_speed_mps(scenario);
  const double flow_m3ps = scenario::most_share_ratio(scenario.rate) * scenario.rate.in_band_m3pm2 *
                           scenario.row.width_m * speed_mps;
  const double pressure_pa =
      std::max(pressure_for_flow_pa(scenario, flow_m3ps), scenario.supply.pressure_min_pa);
  PulseTrain train = train_at(scenario, speed_mps, pressure_pa);
  train.on_time_s = on_time_within_s(scenario.rate.band_length_m / speed_mps, train);
  train.pulses = kPulses;
  return train;
}

/// Everything on which the judgement of a scenario's row may depend.
std::string inputs_of(const scenario::Scenario& scenario) {
  scenario::Scenario same;
  same.liquid = scenario.liquid;
  same.supply = scenario.supply;
  same.attachment = scenario.attachment;
  same.attachment.valve.wear = {};
  same.rate.in_band_m3pm2 = scenario.rate.in_band_m3pm2;
  same.rate.band_length_m = scenario.rate.band_length_m;
  same.rate.zones = scenario.rate.zones;
  same.row.width_m = scenario.row.width_m;
  same.seeding.meter.spacing_m = scenario.seeding.meter.spacing_m;
  same.seeding.meter.scatter_ratio = scenario.seeding.meter.scatter_ratio;
  same.travel.speed_mps = judged_speed_mps(scenario);
  same.solver = scenario.solver;
  return scenario::canonical_text(same);
}

}  // namespace

BandDifference difference_of(const std::vector<TrainPulse>& a, const std::vector<TrainPulse>& b) {
  BandDifference difference;
  double squares_m2 = 0.0, dose_squares_ratio = 0.0;
  for (std::size_t k = a.size() < kLongTrain ? 0 : kUnstirred; k < std::min(a.size(), b.size());
       ++k) {
    if (!laid(a[k]) || !laid(b[k])) continue;
    for (const double off_m : {a[k].band.start_x_ground_m - b[k].band.start_x_ground_m,
                               a[k].band.end_x_ground_m - b[k].band.end_x_ground_m,
                               a[k].band.centre_x_ground_m - b[k].band.centre_x_ground_m}) {
      squares_m2 += off_m * off_m;
      difference.largest_m = std::max(difference.largest_m, std::abs(off_m));
    }
    const double dose_ratio = a[k].band.dose_m3 / b[k].band.dose_m3 - 1.0;
    dose_squares_ratio += dose_ratio * dose_ratio;
    ++difference.compared;
  }
  if (difference.compared > 0) {
    difference.places_m = std::sqrt(squares_m2 / (3.0 * difference.compared));
    difference.dose_ratio = std::sqrt(dose_squares_ratio / difference.compared);
  }
  return difference;
}

namespace {

/// A row that is judged: the pulses of its dense form are kept for what is still to be compared.
struct Judgement {
  FormChoice found;
  bool own_known = false;
  std::vector<TrainPulse> exact;
};

/// A row, the form that it is asked to have and the train by which it is judged.
struct JudgedRow {
  model::RowUnitParams row;
  model::SolverParams asked;
  PulseTrain train;
  bool lengthens = false;
};

model::SolverParams dense_form(const model::SolverParams& asked) {
  model::SolverParams dense = asked;
  dense.form = model::LineForm::kDense;
  return dense;
}

/// How far the dense form's bands move when its step is doubled.
BandDifference own_difference(const JudgedRow& one, const std::vector<TrainPulse>& exact) {
  model::SolverParams coarse = dense_form(one.asked);
  coarse.step_ns *= 2;
  try {
    return difference_of(run_train(one.row, coarse, one.train), exact);
  } catch (const std::invalid_argument&) {
    // No step twice as long fits both lines: how far the bands move with it stays unknown.
    return {};
  }
}

/// Gives a fast form the longest step that holds. The first step that does not ends the search: a
/// longer one that holds would hold by chance.
void lengthen_step(const JudgedRow& one, const std::vector<TrainPulse>& exact, FormChoice& found) {
  const BandDifference usual = found.taken;
  const std::int64_t usual_step_ns = found.solver.step_ns;
  for (const std::int64_t step_ns : kSteps_ns) {
    model::SolverParams longer = found.solver;
    longer.step_ns = step_ns;
    if (step_ns <= found.solver.step_ns) continue;
    BandDifference off;
    try {
      off = difference_of(run_train(one.row, longer, one.train), exact);
    } catch (const std::invalid_argument&) {
      continue;  // no step of this length fits both lines
    }
    if (off.compared < usual.compared || off.places_m > FormChoice::kPlace_m ||
        off.dose_ratio > FormChoice::kDose_ratio)
      return;
    found.solver = longer;
    found.taken = off;
    found.usual_step = usual;
    found.usual_step_ns = usual_step_ns;
  }
}

/// Whether the form that is judged last may be taken. `own` widens the limits, so it is computed
/// only for a form that does not keep to the narrow ones.
bool is_close(const JudgedRow& one, Judgement& judged) {
  FormChoice& found = judged.found;
  if (found.holds()) return true;
  if (!judged.own_known) found.own = own_difference(one, judged.exact);
  judged.own_known = true;
  return found.taken.places_m <= std::max(found.limit_m, kOwnShare_ratio * found.own.places_m) &&
         found.taken.dose_ratio <=
             std::max(FormChoice::kDose_ratio, kOwnShare_ratio * found.own.dose_ratio);
}

Judgement judge(const JudgedRow& one) {
  Judgement judged{.found = {.solver = one.asked}, .exact = {}};
  FormChoice& found = judged.found;
  std::vector<TrainPulse> as_asked;
  tbb::task_group_context whole(tbb::task_group_context::isolated);  // as in sim/study/tune/tune.cc
  tbb::parallel_invoke([&] { judged.exact = run_train(one.row, dense_form(one.asked), one.train); },
                       [&] { as_asked = run_train(one.row, one.asked, one.train); }, whole);
  found.vapour = holds_vapour(judged.exact);
  found.limit_m = found.vapour ? kVapourLimit_m : FormChoice::kPlace_m;
  for (const model::SolverParams& form : faster_forms(one.asked)) {
    found.taken =
        difference_of(found.judged ? run_train(one.row, form, one.train) : as_asked, judged.exact);
    if (!found.judged) found.asked = found.taken;
    if (found.taken.compared == 0) return judged;
    found.judged = true;
    found.solver = form;
    if (!is_close(one, judged)) continue;
    if (one.lengthens) lengthen_step(one, judged.exact, found);
    return judged;
  }
  found.solver = dense_form(one.asked);
  found.taken = {.compared = found.taken.compared};
  return judged;
}

OnceTable<Judgement>& judgements() {
  static OnceTable<Judgement> table(kMostInMemory);
  return table;
}

bool is_open(const scenario::Scenario& scenario) {
  return scenario.solver.automatic && scenario.row.physics != scenario::RowPhysics::kIdeal;
}

/// Whatever stops the judgement leaves the form as asked, because the pass reports it better.
template <typename Value, typename Judge>
Value judged_or(const Value& otherwise, const Judge& judge_row) {
  try {
    return judge_row();
  } catch (const std::invalid_argument&) {
    // The lines do not fit the step, or a value is unphysical: the pass says so, with its key.
  } catch (const BenchError&) {
    // The row leaves physics: the pass says so, with its instant.
  }
  return otherwise;
}

JudgedRow judged_row(const scenario::Scenario& scenario) {
  return {.row = nominal_liquid_path(scenario),
          .asked = scenario.solver,
          .train = judged_train(scenario),
          .lengthens = scenario.solver.automatic_step};
}

Judgement judgement_of(const scenario::Scenario& scenario, const std::string& inputs) {
  return judgements().value_of(inputs, [&] {
    return judged_or(
        Judgement{.found = {.solver = scenario.solver}, .own_known = true, .exact = {}},
        [&] { return judge(judged_row(scenario)); });
  });
}

}  // namespace

FormChoice judge_line_form(const model::RowUnitParams& row, const model::SolverParams& asked,
                           const PulseTrain& train, bool lengthens) {
  const JudgedRow one{.row = row, .asked = asked, .train = train, .lengthens = lengthens};
  Judgement judged = judge(one);
  if (!judged.own_known) judged.found.own = own_difference(one, judged.exact);
  return judged.found;
}

FormChoice line_form_of(const scenario::Scenario& scenario) {
  if (!is_open(scenario)) return {.solver = scenario.solver};
  static OnceTable<BandDifference> owns(kMostInMemory);
  const std::string inputs = inputs_of(scenario);
  Judgement judged = judgement_of(scenario, inputs);
  if (!judged.own_known)
    judged.found.own = owns.value_of(inputs, [&] {
      return judged_or(BandDifference{},
                       [&] { return own_difference(judged_row(scenario), judged.exact); });
    });
  return judged.found;
}

scenario::Scenario with_line_form(const scenario::Scenario& scenario) {
  scenario::Scenario made = scenario;
  if (is_open(scenario))
    static_cast<model::SolverParams&>(made.solver) =
        judgement_of(scenario, inputs_of(scenario)).found.solver;
  made.solver.automatic = false;
  made.solver.automatic_step = false;
  return made;
}

}  // namespace sim::bench
