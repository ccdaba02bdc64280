#include "sim/study/valve/fit/valve_fit_problem.h"

#include <tbb/parallel_for.h>

#include <algorithm>

#include "model/reproducible_math.h"
#include "sim/statistics/quantiles.h"
#include "sim/statistics/spread.h"
#include "sim/study/valve/trace/trace_iron.h"

namespace sim::valve {
namespace {

constexpr double kCircuitKnown_ratio = 0.25;
constexpr double kFarthest_ratio = 2.4;  // logarithm: a tenth to ten times the start's value
constexpr double kBlock_s = 0.3e-3;      // residuals closer than this may be correlated

/// Folds a number into [least, most]. A clamp would leave a search that overshoots without a slope
/// back.
double folded(double value, double least, double most) {  // tidy: unit of all three
  if (value < least) value = least + (least - value);
  if (value > most) value = most - (value - most);
  return std::clamp(value, least, most);
}

double value_of(const Unknown& unknown, double setup_si, double x_ratio) {  // tidy: unit value's
  const double value_si =
      unknown.logarithm
          ? setup_si * model::exp_of(folded(x_ratio, -kFarthest_ratio, kFarthest_ratio))
          : setup_si + unknown.scale_si * x_ratio;
  return folded(value_si, unknown.least_si, unknown.most_si);
}

constexpr Unknown kResistance{"coil.resistance",
                              "resistance",
                              [](model::Valve& v) -> double& { return v.coil.resistance_ohm; },
                              true,
                              1.0,
                              1e-3,
                              0.0,
                              1e3,
                              9,
                              ""};
constexpr Unknown kInductance{"coil.inductance",
                              "inductance",
                              [](model::Valve& v) -> double& { return v.coil.inductance_h; },
                              true,
                              1.0,
                              1e-3,
                              0.0,
                              1.0,
                              9,
                              ""};
constexpr Unknown kForceConstant{
    "coil.force_constant",
    "force constant",
    [](model::Valve& v) -> double& { return v.coil.force_constant_npa; },
    true,
    1.0,
    2e-3,
    0.0,
    1e3,
    8,
    ""};
constexpr Unknown kMass{"plunger.mass",
                        "moving mass",
                        [](model::Valve& v) -> double& { return v.plunger.mass_kg; },
                        true,
                        1.0,
                        4e-3,
                        0.0,
                        1.0,
                        1,
                        "weigh plunger and half of the spring"};
constexpr Unknown kPreload{"plunger.preload",
                           "preload",
                           [](model::Valve& v) -> double& { return v.plunger.preload_n; },
                           true,
                           1.0,
                           4e-3,
                           0.0,
                           1e3,
                           6,
                           "push it off its seat with a force gauge"};
constexpr Unknown kSpringRate{"plunger.spring_rate",
                              "spring rate",
                              [](model::Valve& v) -> double& { return v.plunger.spring_rate_npm; },
                              true,
                              1.0,
                              1e-2,
                              0.0,
                              1e6,
                              5,
                              "load the spring with known weights"};
constexpr Unknown kFriction{"plunger.coulomb_friction",
                            "friction",
                            [](model::Valve& v) -> double& { return v.plunger.coulomb_friction_n; },
                            false,
                            1.0,
                            2e-2,
                            0.0,
                            50.0,
                            4,
                            "pull the plunger dry through its bore"};
constexpr Unknown kTravel{"plunger.travel",
                          "travel",
                          [](model::Valve& v) -> double& { return v.plunger.travel_m; },
                          true,
                          1.0,
                          2e-3,
                          0.0,
                          10e-3,
                          3,
                          "measure with a dial gauge"};
constexpr Unknown kRestitution{
    "plunger.restitution",
    "restitution",
    [](model::Valve& v) -> double& { return v.plunger.restitution_ratio; },
    false,
    1.0,
    1e-2,
    0.0,
    0.95,
    7,
    ""};
constexpr Unknown kSeatDiameter{"seat.diameter",
                                "seat diameter",
                                [](model::Valve& v) -> double& { return v.seat.diameter_m; },
                                true,
                                1.0,
                                4e-3,
                                0.0,
                                30e-3,
                                2,
                                "measure with a pin gauge"};
constexpr Unknown kGap{
    "coil.gap", "working gap", [](model::Valve& v) -> double& { return v.coil.reluctance.gap_m; },
    true,       1.0,           2e-3,
    0.0,        0.1,           8,
    ""};
constexpr Unknown kLeakage{"coil.leakage",
                           "leakage",
                           [](model::Valve& v) -> double& { return v.coil.reluctance.leakage_h; },
                           true,
                           1.0,
                           4e-3,
                           0.0,
                           1.0,
                           10,
                           "",
                           kCircuitKnown_ratio};
constexpr Unknown kSaturation{
    "coil.saturation",
    "saturation",
    [](model::Valve& v) -> double& { return v.coil.reluctance.saturation_vs; },
    true,
    1.0,
    2e-3,
    0.0,
    100.0,
    11,
    "",
    kCircuitKnown_ratio};
constexpr Unknown kHalfCurrent{
    "coil.half_current",
    "half current",
    [](model::Valve& v) -> double& { return v.coil.reluctance.half_current_a; },
    true,
    1.0,
    4e-3,
    0.0,
    100.0,
    12,
    "",
    kCircuitKnown_ratio};
constexpr Unknown kEddy{"coil.eddy_resistance",
                        "eddy resistance",
                        [](model::Valve& v) -> double& { return v.coil.reluctance.eddy_ohm; },
                        true,
                        1.0,
                        4e-3,
                        0.0,
                        1e6,
                        13,
                        "",
                        kCircuitKnown_ratio};

constexpr std::array kLinear = {kResistance,  kInductance,  kForceConstant, kMass,
                                kPreload,     kSpringRate,  kFriction,      kTravel,
                                kRestitution, kSeatDiameter};
constexpr std::array kReluctance = {
    kResistance, kInductance,  kGap,          kMass,    kPreload,    kSpringRate,  kFriction,
    kTravel,     kRestitution, kSeatDiameter, kLeakage, kSaturation, kHalfCurrent, kEddy};
static_assert(kReluctance.size() == kMostUnknowns && kLinear.size() < kMostUnknowns);

}  // namespace

std::span<const Unknown> unknowns_of(model::ForceLaw law) {
  if (law == model::ForceLaw::kLinear) return kLinear;
  return kReluctance;
}

bool FitProblem::stated(std::size_t unknown) const {
  model::Valve valve = setup_.part.valve;
  return unknowns[unknown].in(valve) > 0.0;
}

const char* FitProblem::held_words(std::size_t unknown) const {
  model::Valve stated = setup_.part.valve, start = start_;
  return unknowns[unknown].in(stated) == unknowns[unknown].in(start)
             ? "held at the setup's value"
             : "held where the pulses themselves put it";
}

model::Valve FitProblem::valve_at(const Eigen::VectorXd& x) const {
  model::Valve valve = start_;
  for (std::size_t j = 0; j < free.size(); ++j) {
    double& value_si = unknowns[free[j]].in(valve);  // tidy: unit the value's
    value_si = value_of(unknowns[free[j]], value_si, x(static_cast<Eigen::Index>(j)));
  }
  if (valve.coil.force_law == model::ForceLaw::kReluctance)
    keep_physical(valve.coil, valve.plunger.travel_m);
  return valve;
}

void FitProblem::hold_at(std::size_t unknown, double value_si) {
  unknowns[unknown].in(start_) = value_si;
  remembered_ns_ = 0;
}

std::vector<EdgeShift> FitProblem::shifts_of(std::size_t run, const Eigen::VectorXd& x) const {
  auto at = static_cast<Eigen::Index>(free.size());
  for (std::size_t k = 0; k < run; ++k) at += 2 * static_cast<Eigen::Index>(runs_[k].pulses.size());
  std::vector<EdgeShift> shifts;
  for (std::size_t k = 0; k < runs_[run].pulses.size(); ++k, at += 2)
    shifts.push_back({sample_s_ * x(at), sample_s_ * x(at + 1)});
  return shifts;
}

std::vector<FitCourse> FitProblem::courses_at(const Eigen::VectorXd& x,
                                              std::int64_t step_ns) const {
  const auto count = static_cast<Eigen::Index>(free.size());
  if (remembered_ns_ == step_ns && remembered_x_.size() == count && remembered_x_ == x.head(count))
    return remembered_;
  const model::Valve valve = valve_at(x);
  std::vector<FitCourse> courses(runs_.size());
  tbb::parallel_for(std::size_t{0}, runs_.size(), [&](std::size_t k) {
    courses[k] = model_course(setup_, valve, runs_[k], step_ns);
  });
  return courses;
}

void FitProblem::remember(const Eigen::VectorXd& x, std::int64_t step_ns) {
  remembered_ = courses_at(x, step_ns);
  remembered_x_ = x.head(static_cast<Eigen::Index>(free.size()));
  remembered_ns_ = step_ns;
}

Eigen::VectorXd FitProblem::residuals(const Eigen::VectorXd& x, std::int64_t step_ns) const {
  return rows_of(courses_at(x, step_ns), x);
}

Eigen::VectorXd FitProblem::change_by(const Eigen::VectorXd& x, std::size_t unknown,
                                      std::int64_t step_ns) const {
  FitProblem freed = *this;
  freed.free.push_back(unknown);
  const auto place = static_cast<Eigen::Index>(free.size());
  const double step = unknowns[unknown].step_ratio;  // tidy: unit of x
  Eigen::VectorXd rows[2];
  for (int side = 0; side < 2; ++side) {
    Eigen::VectorXd moved(x.size() + 1);
    moved << x.head(place), side == 0 ? step : -step, x.tail(x.size() - place);
    rows[side] = freed.residuals(moved, step_ns);
  }
  return (rows[0] - rows[1]) / (2.0 * step);
}

std::vector<Eigen::VectorXd> FitProblem::supply_rows(const Eigen::VectorXd& x,
                                                     std::int64_t step_ns) const {
  const model::Valve valve = valve_at(x);
  const std::vector<FitCourse> courses = courses_at(x, step_ns);
  const Eigen::VectorXd before = rows_of(courses, x);
  std::vector<Eigen::VectorXd> changes(runs_.size(), Eigen::VectorXd::Zero(before.size()));
  tbb::parallel_for(std::size_t{0}, runs_.size(), [&](std::size_t k) {
    FitRun higher = runs_[k];
    for (std::size_t n = 0; n < higher.supply_v.size(); ++n)
      higher.supply_v[n] += higher.supply_se_v[n];
    if (higher.supply_v == runs_[k].supply_v) return;
    std::vector<FitCourse> moved = courses;
    moved[k] = model_course(setup_, valve, higher, step_ns);
    changes[k] = rows_of(moved, x) - before;
  });
  return changes;
}

Eigen::VectorXd FitProblem::rows_of(const std::vector<FitCourse>& courses,
                                    const Eigen::VectorXd& x) const {
  std::vector<double> rows;
  for (std::size_t k = 0; k < runs_.size(); ++k) {
    const std::vector<EdgeShift> shifts = shifts_of(k, x);
    for (std::size_t n = 0; n < shifts.size(); ++n) {
      const FitPulse& pulse = runs_[k].pulses[n];
      const FitSamples samples = samples_of(courses[k], pulse, shifts[n]);
      for (std::size_t i = 0; i < pulse.time_s.size(); ++i)
        rows.push_back((samples.current_a[i] - pulse.current_a[i]) / pulse.current_noise_a);
      for (std::size_t i = 0; i < pulse.emf.size(); ++i)
        rows.push_back((samples.emf_v[i] - pulse.emf[i].mean_v) /
                       (emf_softness_ratio * pulse.emf[i].noise_v));
      rows.push_back(statistics::kWidthOfEvenSpread_ratio * shifts[n].on_s / sample_s_);
      rows.push_back(statistics::kWidthOfEvenSpread_ratio * shifts[n].off_s / sample_s_);
    }
  }
  model::Valve stated = setup_.part.valve, valve = valve_at(x);
  for (const std::size_t k : known())
    rows.push_back(model::log_of(unknowns[k].in(valve) / unknowns[k].in(stated)) *
                   statistics::kTwoSided95_ratio / unknowns[k].known_ratio);
  return Eigen::Map<const Eigen::VectorXd>(rows.data(), static_cast<Eigen::Index>(rows.size()));
}

std::vector<std::size_t> FitProblem::known() const {
  std::vector<std::size_t> known;
  for (std::size_t k = 0; k < unknowns.size(); ++k)
    if (unknowns[k].known_ratio > 0.0 && stated(k)) known.push_back(k);
  return known;
}

Eigen::VectorXd FitProblem::gain_rows() const {
  std::vector<double> rows;
  for (const FitRun& run : runs_) {
    for (const FitPulse& pulse : run.pulses) {
      for (const double current_a : pulse.current_a)
        rows.push_back(current_a / pulse.current_noise_a);
      rows.insert(rows.end(), pulse.emf.size() + 2, 0.0);
    }
  }
  rows.insert(rows.end(), known().size(), 0.0);
  return Eigen::Map<const Eigen::VectorXd>(rows.data(), static_cast<Eigen::Index>(rows.size()));
}

std::vector<int> FitProblem::blocks() const {
  std::vector<int> blocks;
  int block = 0;
  const auto add = [&](const FitPulse& pulse) {
    double start_s = -1e300;
    for (const double time_s : pulse.time_s) {
      if (time_s > start_s + kBlock_s) {
        start_s = time_s;
        ++block;
      }
      blocks.push_back(block);
    }
  };
  for (const FitRun& run : runs_) {
    for (const FitPulse& pulse : run.pulses) {
      add(pulse);
      for (std::size_t row = 0; row < pulse.emf.size() + 2; ++row) blocks.push_back(++block);
    }
  }
  for (std::size_t row = 0; row < known().size(); ++row) blocks.push_back(++block);
  return blocks;
}

double FitProblem::current_square_ratio(const Eigen::VectorXd& left) const {
  double sum = 0.0, count = 0.0;  // tidy: unit a count
  Eigen::Index at = 0;
  for (const FitRun& run : runs_) {
    for (const FitPulse& pulse : run.pulses) {
      for (std::size_t i = 0; i < pulse.time_s.size(); ++i, ++at) {
        sum += left(at) * left(at);
        count += 1.0;
      }
      at += static_cast<Eigen::Index>(pulse.emf.size() + 2);
    }
  }
  return sum / count;
}

}  // namespace sim::valve
