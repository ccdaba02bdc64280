#include "sim/study/valve/trace/trace_iron.h"

#include <algorithm>
#include <cmath>

#include "model/valve/reluctance.h"

namespace sim::valve {
namespace {

constexpr double kUnsure_ratio = 0.06;  // of the travel, one sample's noise of lift
constexpr double kClosing_ratio = 2.0;  // the edge's error grows against the field while it fades
constexpr std::size_t kMostEdge = 40;   // samples that give an edge

using Plan = model::ReluctancePlan<double>;

/// Noise of the current without eddy currents, per noise of the current.
double noise_gain_ratio(const model::Coil& coil, const Plan& plan) {
  return 1.0 + coil.resistance_ohm * plan.eddy_siemens;
}

/// Current without eddy currents at a sample.
double still_current_a(const PulseWindow& window, const model::Coil& coil, const Plan& plan,
                       std::size_t k) {
  const double i_a = window.i_a[k];
  return i_a - plan.eddy_siemens * (window.v_v[k] - coil.resistance_ohm * i_a);
}

double linkage_at_vs(const PulseWindow& window, const model::Coil& coil, std::size_t k) {
  return rest_linkage_vs(coil) + window.u_vs[k] - coil.resistance_ohm * window.q_as[k];
}

/// Change of the lift per change of the gap's linkage at a constant current.
double slope_phm(const Plan& plan, double gap_linkage_vs, double still_a) {  // tidy: unit m/(V s)
  double slope_ph = (still_a + plan.remanence_a) / gap_linkage_vs / gap_linkage_vs;
  if (plan.saturation_vs > 0.0) {
    const double left_vs =
        std::max(plan.saturation_vs - std::abs(gap_linkage_vs), 1e-3 * plan.saturation_vs);
    slope_ph += plan.half_a / left_vs / left_vs;
  }
  return slope_ph / plan.per_henry_metre_aptm;
}

/// Change of the lift per change of the current at a constant linkage.
double lift_per_current_mpa(const Plan& plan, double gap_linkage_vs, double still_a) {
  return 1.0 / gap_linkage_vs / plan.per_henry_metre_aptm +
         plan.leakage_h * slope_phm(plan, gap_linkage_vs, still_a);
}

double lift_m(const Plan& plan, double gap_linkage_vs, double still_a) {
  double per_h = (still_a + plan.remanence_a) / gap_linkage_vs;
  if (plan.saturation_vs > 0.0)
    per_h -= plan.half_a /
             std::max(plan.saturation_vs - std::abs(gap_linkage_vs), 1e-3 * plan.saturation_vs);
  return plan.gap_m - per_h / plan.per_henry_metre_aptm;
}

/// Weighted mean of what psi lacks, drawn to zero by what is known of the edge.
void take_edge(double sum_vs, double count, double noise_vs, double step_vs, double& edge_vs,
               double& sd_vs) {
  const double prior_vs = std::abs(step_vs);  // wider than an even spread: none of it is favoured
  sd_vs = prior_vs;
  edge_vs = 0.0;
  if (!(count > 0.0) || !(prior_vs > 0.0)) return;
  const double weight = count + noise_vs * noise_vs / (prior_vs * prior_vs);
  // No bound at half a sample: what the eddy currents are misjudged by is one shift of all edges.
  edge_vs = std::clamp(sum_vs / weight, -3.0 * prior_vs, 3.0 * prior_vs);
  sd_vs = noise_vs / std::sqrt(weight);
}

}  // namespace

double winding_current_a(const model::Coil& coil, double linkage_vs, double lift_m,
                         double voltage_v, double current_a) {
  const Plan plan = model::make_reluctance_plan(coil);
  return model::gap_linkage(plan, linkage_vs, lift_m).current_a +
         plan.eddy_siemens * (voltage_v - coil.resistance_ohm * current_a);
}

double rest_linkage_vs(const model::Coil& coil) {
  return model::linkage_of_current_vs(model::make_reluctance_plan(coil), 0.0, 0.0);
}

void keep_physical(model::Coil& coil, double travel_m) {
  constexpr double kLeastGap_ratio = 1.02, kMostShare_ratio = 0.95;
  model::Reluctance& iron = coil.reluctance;
  iron.gap_m = std::max(iron.gap_m, kLeastGap_ratio * travel_m);
  iron.leakage_h = std::min(iron.leakage_h, kMostShare_ratio * coil.inductance_h);
  if (iron.saturation_vs > 0.0)
    iron.half_current_a = std::min(iron.half_current_a, kMostShare_ratio * iron.saturation_vs /
                                                            (coil.inductance_h - iron.leakage_h));
}

double equal_constant_npa(const model::Coil& coil, double travel_m, double hold_a) {
  const Plan plan = model::make_reluctance_plan(coil);
  return (model::linkage_of_current_vs(plan, hold_a, travel_m) -
          model::linkage_of_current_vs(plan, hold_a, 0.0)) /
         travel_m;
}

double equal_noise_vs(const IronFigures& iron, double hold_a) {
  const Plan plan = model::make_reluctance_plan(iron.coil);
  const auto noise_m = [&](double current_a, double lift_m) {
    const double gap_vs = model::gap_linkage_of_current_vs(plan, current_a, lift_m);
    return iron.noise_a * noise_gain_ratio(iron.coil, plan) *
           lift_per_current_mpa(plan, gap_vs, current_a);
  };
  return iron.constant_npa * std::max(noise_m(0.5 * hold_a, 0.0), noise_m(hold_a, iron.travel_m));
}

IronCourse iron_course_of(const PulseWindow& window, const IronFigures& iron,
                          const EdgeLinkage& edges) {
  const Plan plan = model::make_reluctance_plan(iron.coil);
  const std::size_t count = window.t_s.size();
  const double unsure_m = kUnsure_ratio * iron.travel_m;
  const double least_vs = std::max(
      iron.noise_a * noise_gain_ratio(iron.coil, plan) / (unsure_m * plan.per_henry_metre_aptm),
      edges.on_sd_vs * plan.gap_m / unsure_m);
  IronCourse course{.y_vs = std::vector<double>(count, 0.0),
                    .drive_a = std::vector<double>(count, 0.0),
                    .by_edge_ratio = std::vector<double>(count, 0.0),
                    .seen_from = window.off,
                    .seen_to = window.off};
  bool seen = false;
  for (std::size_t k = window.on_clean; k < window.known; ++k) {
    const double still_a = still_current_a(window, iron.coil, plan, k);
    const double psi_vs =
        linkage_at_vs(window, iron.coil, k) + edges.on_vs + (k >= window.off ? edges.off_vs : 0.0);
    const double gap_vs = psi_vs - plan.leakage_h * still_a;
    const bool edge = k >= window.off && k < window.off_clean;
    const double enough_vs = k >= window.off ? kClosing_ratio * least_vs : least_vs;
    if (!edge && !(gap_vs > enough_vs)) {
      if (k >= window.off) break;
      continue;
    }
    if (!seen) course.seen_from = k;
    seen = true;
    course.seen_to = k + 1;
    course.y_vs[k] = edge ? course.y_vs[k - 1] : iron.constant_npa * lift_m(plan, gap_vs, still_a);
    course.drive_a[k] = model::gap_force_n(plan, gap_vs) / iron.constant_npa;
    course.by_edge_ratio[k] = iron.constant_npa * slope_phm(plan, gap_vs, still_a);
  }
  for (std::size_t k = std::max<std::size_t>(course.seen_to, 1); k < count; ++k) {
    course.y_vs[k] = course.y_vs[k - 1];
    course.drive_a[k] = 0.0;
  }
  return course;
}

void find_on_edge(const PulseWindow& window, const IronFigures& iron, EdgeLinkage& edges) {
  const model::Coil& coil = iron.coil;
  const Plan plan = model::make_reluctance_plan(coil);
  double sum_vs = 0.0, count = 0.0;
  for (std::size_t k = window.on_clean; k < window.off && count < kMostEdge; ++k) {
    const double still_a = still_current_a(window, coil, plan, k);
    if (!(window.i_a[k] < 0.75 * iron.lift_off_a)) break;
    sum_vs += model::linkage_of_current_vs(plan, still_a, 0.0) - linkage_at_vs(window, coil, k);
    count += 1.0;
  }
  take_edge(sum_vs, count, coil.inductance_h * iron.noise_a * noise_gain_ratio(coil, plan),
            window.driven_v * window.on_half_s, edges.on_vs, edges.on_sd_vs);
}

void find_off_edge(const PulseWindow& window, const IronFigures& iron, double least_drive_a,
                   EdgeLinkage& edges) {
  const model::Coil& coil = iron.coil;
  const Plan plan = model::make_reluctance_plan(coil);
  const auto lacks_vs = [&](std::size_t k) {
    const double still_a = still_current_a(window, coil, plan, k);
    return model::linkage_of_current_vs(plan, still_a, iron.travel_m) -
           linkage_at_vs(window, coil, k);
  };
  const auto mean_vs = [&](std::size_t from, std::size_t to) {
    double sum_vs = 0.0;
    for (std::size_t k = from; k < to; ++k) sum_vs += lacks_vs(k);
    return sum_vs / static_cast<double>(to - from);
  };
  std::size_t to = window.off_clean;
  while (to < window.known && to < window.off_clean + kMostEdge) {
    const double gap_vs = model::gap_linkage_of_current_vs(
        plan, still_current_a(window, coil, plan, to), iron.travel_m);
    if (!(model::gap_force_n(plan, gap_vs) > least_drive_a * iron.constant_npa)) break;
    ++to;
  }
  const std::size_t last = window.off - (window.off_clean - window.off);
  const std::size_t held = std::min<std::size_t>(20, (window.off - window.on) / 4 + 1);
  const double step_vs = (window.driven_v - window.released_v) * window.off_half_s;
  const auto count = static_cast<double>(to - window.off_clean);
  const double slope_h =  // of linkage over current where the command ends
      1.0 /
      model::gap_linkage(plan, linkage_at_vs(window, coil, last - 1), iron.travel_m).slope_a_pvs;
  const double noise_vs = slope_h * iron.noise_a * noise_gain_ratio(coil, plan);
  const double jump_vs =
      to > window.off_clean ? mean_vs(window.off_clean, to) - mean_vs(last - held, last) : 0.0;
  take_edge(count * jump_vs, count, noise_vs, step_vs, edges.off_vs, edges.off_sd_vs);
}

}  // namespace sim::valve
