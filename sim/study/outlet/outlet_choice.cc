#include "sim/study/outlet/outlet_choice.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "model/row/row_unit.h"
#include "sim/bench/row_fixed.h"

namespace sim::outlet {
namespace {

/// A figure as a number of steps, larger is better; all values beyond `enough` are equal.
long long steps_of(double value_si, double step_si, double enough_si) {
  return std::llround(std::min(value_si, enough_si) / step_si);
}
/// The same for a figure that should be small.
long long steps_below(double value_si, double step_si, double enough_si) {
  constexpr double kFar_si = 1e3;  // keeps an infinite figure countable
  return -std::llround(std::min(std::max(value_si, enough_si), kFar_si) / step_si);
}

std::array<long long, 6> merits_of(const OutletCandidate& c, double speed_mps) {
  return {steps_below(c.pulses.interference_m(), 0.1e-3, 0.2e-3),
          steps_below(end_blur_m(c, speed_mps), 0.5e-3, 1e-3),
          steps_below(c.full.stop.refill_m, 0.5e-3, 1e-3),
          steps_of(c.pressure_ratio, 0.05, 1.5),
          steps_of(c.jet_margin_ratio, 0.1, 2.0),
          steps_of(c.plugging_ratio, 0.25, 4.0)};
}

bool dominates(const std::array<long long, 6>& a, const std::array<long long, 6>& b) {
  bool better = false;
  for (std::size_t k = 0; k < a.size(); ++k) {
    if (a[k] < b[k]) return false;
    better = better || a[k] > b[k];
  }
  return better;
}

std::size_t failures_of(const OutletCandidate& candidate) {
  return static_cast<std::size_t>(
      std::count(candidate.holds.begin(), candidate.holds.end(), false));
}

double flow_m3ps(const scenario::Scenario& scenario, double bore_m) {
  scenario::Scenario made = scenario;
  made.attachment.outlet.bore_m = bore_m;
  const model::RowUnitParams row = bench::nominal_liquid_path(made);
  return model::steady_flow_m3ps(row, made.supply.pressure_pa / kLeastPressure_ratio,
                                 row.valve.plunger.travel_m);
}

// The smallest bore at which this part passes the rate, or the pressure that it needs at its own
// bore.
std::string for_the_rate(const OutletResult& result, const OutletCandidate& nearest) {
  const scenario::Scenario made = with_part(result.scenario, nearest.part);
  double low_m = nearest.part.bore_m, high_m = 0.95 * nearest.part.tube_bore_m;
  if (flow_m3ps(made, high_m) >= result.flow_m3ps) {
    for (int k = 0; k < 40; ++k) {
      const double middle_m = 0.5 * (low_m + high_m);
      (flow_m3ps(made, middle_m) >= result.flow_m3ps ? high_m : low_m) = middle_m;
    }
    return fmt::format(
        "attachment.outlet.bore: the rate needs at least \"{:.2f} mm\" at this "
        "supply",
        std::ceil(high_m * 1e5) * 1e-2);
  }
  scenario::Scenario stronger = made;
  constexpr double kMost_pa = 1e9;
  double low_pa = made.supply.pressure_pa, high_pa = low_pa;
  while (high_pa < kMost_pa && flow_m3ps(stronger, nearest.part.bore_m) < result.flow_m3ps) {
    low_pa = high_pa;
    high_pa *= 1.05;
    stronger.supply.pressure_pa = high_pa;
  }
  return fmt::format(
      "supply.pressure: no bore in this tube passes the rate; with {:.2f} mm it "
      "needs about \"{:.1f} bar\"",
      nearest.part.bore_m * 1e3, high_pa * 1e-5);
}

std::string for_the_jet(const OutletCandidate& nearest) {
  // At one flow the speed in the bore falls as 1/d^2, the drip limit nearly as 1/sqrt(d).
  const double bore_m = nearest.part.bore_m * std::sqrt(std::min(1.0, nearest.jet_margin_ratio));
  return fmt::format(
      "attachment.outlet.bore: at this rate it drips; about \"{:.2f} mm\" would "
      "make a jet",
      bore_m * 1e3);
}

}  // namespace

double end_blur_m(const OutletCandidate& candidate, double speed_mps) {
  const double smeared_s = candidate.pulses.worst.rise_s + candidate.pulses.worst.tail_s;
  return std::isnan(smeared_s) ? HUGE_VAL : smeared_s * speed_mps;
}

void judge_demands(const scenario::Scenario& scenario, OutletCandidate& c) {
  const auto say = [&](Demand demand, bool holds) {
    c.holds[static_cast<std::size_t>(demand)] = holds;
  };
  say(Demand::kServesRate, c.pressure_ratio >= kLeastPressure_ratio);
  say(Demand::kHoldsPressure, c.pressure_pa >= scenario.supply.pressure_min_pa);
  say(Demand::kFollows, c.pulsed && c.pulses.follows());
  say(Demand::kHoldsLiquid, c.full.holds_liquid());
  say(Demand::kJets, !c.jet.drips);
  say(Demand::kLeavesSeed, !c.jet.may_move_seed);
  say(Demand::kPassesGrit, c.plugging_ratio >= kLeastPlugging_ratio);
  c.works = failures_of(c) == 0;
}

void choose(OutletResult& result, Field field) {
  std::vector<OutletCandidate>& all = result.candidates;
  const auto in_field = [field](const OutletCandidate& one) {
    return field == Field::kAll || one.looked_at_closely;
  };
  for (OutletCandidate& one : all) {
    one.cost_m = one.pulses.interference_m() + 0.5 * end_blur_m(one, result.speed_mps) +
                 one.changes * kPriceOfChange_m;
    one.pareto = one.works && in_field(one);
    const auto merits = merits_of(one, result.speed_mps);
    for (const OutletCandidate& other : all)
      if (one.pareto && other.works && in_field(other) &&
          dominates(merits_of(other, result.speed_mps), merits))
        one.pareto = false;
  }
  result.recommended = -1;
  for (std::size_t k = 0; k < all.size(); ++k)
    if (all[k].pareto && (result.recommended < 0 ||
                          all[k].cost_m < all[static_cast<std::size_t>(result.recommended)].cost_m))
      result.recommended = static_cast<int>(k);
}

std::string nearest_workable(const OutletResult& result) {
  const auto nearest = std::min_element(result.candidates.begin(), result.candidates.end(),
                                        [](const OutletCandidate& a, const OutletCandidate& b) {
                                          const auto fails_a = failures_of(a),
                                                     fails_b = failures_of(b);
                                          if (fails_a != fails_b) return fails_a < fails_b;
                                          return a.largest_flow_m3ps > b.largest_flow_m3ps;
                                        });
  const auto fails = [&](Demand demand) {
    return !nearest->holds[static_cast<std::size_t>(demand)];
  };
  const OutletCandidate& one = *nearest;
  if (fails(Demand::kServesRate)) return for_the_rate(result, one);
  if (fails(Demand::kHoldsPressure))
    return fmt::format(
        "supply.pressure_min: the rate needs \"{:.2f} bar\"; the regulator must hold "
        "that little, or the bore be smaller",
        one.pressure_pa * 1e-5);
  if (fails(Demand::kJets)) return for_the_jet(one);
  if (fails(Demand::kLeavesSeed))
    return fmt::format(
        "attachment.lateral_clearance: the jet lands {:.1f} mm beside the seed with "
        "{:.0f} times its weight; aim it further away",
        one.jet.landing_clearance_m * 1e3, one.jet.thrust_over_seed_weight_ratio);
  if (fails(Demand::kPassesGrit))
    return fmt::format(
        "attachment.outlet.bore: behind this strainer at least \"{:.2f} mm\", or a "
        "finer strainer",
        kLeastPlugging_ratio * result.strainer.opening_m * 1e3);
  if (fails(Demand::kHoldsLiquid) && !one.full.holds)
    return fmt::format("attachment.outlet.bore: this liquid is held by at most \"{:.2f} mm\"",
                       one.full.widest_bore_m * 1e3);
  if (fails(Demand::kHoldsLiquid))
    return fmt::format(
        "attachment.tube.length: a stop leaves {:.1f} mm of row to refill; a tube "
        "of less volume leaves less",
        one.full.stop.refill_m * 1e3);
  return "attachment.tube: the valve cannot follow every rate; a shorter, wider or stiffer tube "
         "slows it less";
}

const char* demand_words(Demand demand) {
  switch (demand) {
    case Demand::kServesRate: return "serves the rate with a tenth of pressure to spare";
    case Demand::kHoldsPressure: return "the regulator holds so little pressure";
    case Demand::kFollows: return "follows every rate";
    case Demand::kHoldsLiquid: return "tube holds its liquid";
    case Demand::kJets: return "a jet leaves, no drips";
    case Demand::kLeavesSeed: return "leaves the seed in place";
    case Demand::kPassesGrit: return "bore at least twice the strainer's openings";
  }
  return "";
}

}  // namespace sim::outlet
