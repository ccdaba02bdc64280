#include "sim/measure/temporal.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <stdexcept>

namespace sim::measure {
namespace {

using Intervals = std::vector<OnInterval>;
constexpr double kFar_s = std::numeric_limits<double>::infinity();

const Intervals& intervals_of(const RowSignals& signals, const std::string& name) {
  const scenario::OnOffSignal* found = scenario::find_on_off(name);
  if (found == nullptr) throw std::invalid_argument("no signal named " + name);
  return signals.of(found->signal);
}

Intervals complement(const Intervals& on, double until_s) {
  Intervals off;
  double from_s = 0.0;
  for (const OnInterval& one : on) {
    if (one.from_s > from_s) off.push_back({from_s, one.from_s});
    from_s = std::max(from_s, one.to_s);
  }
  if (from_s < until_s) off.push_back({from_s, until_s});
  return off;
}

Intervals stated(const scenario::TemporalRule& rule, const RowSignals& signals) {
  const Intervals& on = intervals_of(signals, rule.signal);
  return rule.negated ? complement(on, signals.until_s) : on;
}

/// Instants from which an obligation runs: rises of `when`, or the start.
std::vector<double> rises_of(const std::string& when, const RowSignals& signals) {
  if (when.empty()) return {0.0};
  std::vector<double> rises_s;
  for (const OnInterval& one : intervals_of(signals, when)) rises_s.push_back(one.from_s);
  return rises_s;
}

/// Keeps the result with the smallest margin.
void take(const TemporalResult& one, TemporalResult& worst) {
  if (!one.fired) return;
  if (!worst.fired || one.margin_si < worst.margin_si) worst = one;
}

TemporalResult found(double limit_si, double value_si, double margin_si,
                     double at_s) {  // tidy: unit the requirement's
  TemporalResult result;
  result.fired = true;
  result.holds = margin_si >= 0.0;
  result.limit_si = limit_si, result.value_si = value_si, result.margin_si = margin_si;
  result.at_s = at_s;
  return result;
}

TemporalResult judge_always(const scenario::Requirement& requirement, const RowSignals& signals) {
  const scenario::RealSignalKind* kind = scenario::find_real_signal(requirement.rule.signal);
  if (kind == nullptr) throw std::invalid_argument("no signal named " + requirement.rule.signal);
  std::size_t gate = kUngated;
  for (std::size_t k = 0; k < kGates.size(); ++k)
    if (const scenario::OnOffSignal* during = scenario::find_on_off(requirement.rule.during))
      if (during->signal == kGates[k]) gate = k;
  const Extremes& seen = signals.extremes[static_cast<std::size_t>(kind->signal)][gate];
  if (!seen.seen()) return {};
  const bool at_most = requirement.sense == scenario::BoundSense::kAtMost;
  const double value_si = at_most ? seen.largest_si : seen.least_si;  // tidy: unit the signal's
  const double sign = at_most ? 1.0 : -1.0;                           // tidy: unit none
  return found(requirement.bound, value_si, sign * (requirement.bound - value_si),
               at_most ? seen.largest_at_s : seen.least_at_s);
}

TemporalResult judge_never(const scenario::TemporalRule& rule, const RowSignals& signals) {
  Intervals forbidden = {{0.0, signals.until_s}};
  if (!rule.during.empty()) {
    forbidden.clear();
    for (const OnInterval& one : intervals_of(signals, rule.during))
      if (one.from_s + rule.grace_s <= one.to_s)
        forbidden.push_back({one.from_s + rule.grace_s, one.to_s});
  }
  if (forbidden.empty()) return {};
  TemporalResult worst = found(0.0, 0.0, signals.until_s, forbidden.front().from_s);
  for (const OnInterval& on : stated(rule, signals)) {
    for (const OnInterval& ban : forbidden) {
      const double from_s = std::max(on.from_s, ban.from_s);
      const double to_s = std::min(on.to_s, ban.to_s);
      const double gap_s = from_s - to_s;  // negative: they overlap
      if (gap_s > 0.0) {
        take(found(0.0, 0.0, gap_s, on.from_s), worst);
        continue;
      }
      TemporalResult overlap = found(0.0, -gap_s, gap_s, from_s);
      overlap.holds = false;  // also where they meet in one instant
      if (worst.holds || overlap.margin_si < worst.margin_si) worst = overlap;
    }
  }
  return worst;
}

/// First instant of the signal at or after a rise; infinity: none.
double answer_s(const Intervals& on, double rise_s) {
  for (const OnInterval& one : on)
    if (one.to_s >= rise_s) return std::max(one.from_s, rise_s);
  return kFar_s;
}

/// Edges of the seed sensor behind `from_s`, up to and with `to_s`.
long long edges_between(const Intervals& edges, double from_s, double to_s) {
  return std::count_if(edges.begin(), edges.end(), [&](const OnInterval& edge) {
    return edge.from_s > from_s && edge.from_s <= to_s;
  });
}

TemporalResult judge_eventually(const scenario::TemporalRule& rule, const RowSignals& signals) {
  TemporalResult worst;
  const Intervals on = stated(rule, signals);
  const Intervals& edges = signals.of(scenario::OnOff::kEdge);
  for (const double rise_s : rises_of(rule.when, signals)) {
    const double at_s = answer_s(on, rise_s);
    const bool came = at_s <= signals.until_s;
    const double seen_s = came ? at_s : signals.until_s;
    if (rule.within_seeds > 0) {
      const auto count = static_cast<double>(edges_between(edges, rise_s, seen_s));  // tidy: seeds
      if (!came && count <= rule.within_seeds) continue;
      take(found(rule.within_seeds, count, rule.within_seeds - count, rise_s), worst);
    } else {
      if (!came && rise_s + rule.within_s > signals.until_s) continue;
      const double response_s = seen_s - rise_s;
      TemporalResult one = found(rule.within_s, response_s, rule.within_s - response_s, rise_s);
      one.holds = one.holds && came;
      take(one, worst);
    }
  }
  return worst;
}

TemporalResult judge_hold(const scenario::TemporalRule& rule, const RowSignals& signals) {
  TemporalResult worst;
  const Intervals off = complement(stated(rule, signals), signals.until_s);
  const Intervals& ends = intervals_of(signals, rule.until);
  for (const double rise_s : rises_of(rule.when, signals)) {
    double end_s = signals.until_s;
    for (const OnInterval& one : ends)
      if (one.from_s >= rise_s) {
        end_s = one.from_s;
        break;
      }
    double broken_s = signals.until_s;
    for (const OnInterval& one : off)
      if (one.to_s > rise_s) {
        broken_s = std::max(one.from_s, rise_s);
        break;
      }
    const bool early = broken_s < end_s;
    take(found(0.0, early ? end_s - broken_s : 0.0, broken_s - end_s, early ? broken_s : end_s),
         worst);
  }
  return worst;
}

TemporalResult judge_row(const scenario::Requirement& requirement, const RowSignals& signals) {
  switch (requirement.rule.form) {
    case scenario::TemporalForm::kAlways: return judge_always(requirement, signals);
    case scenario::TemporalForm::kNever: return judge_never(requirement.rule, signals);
    case scenario::TemporalForm::kEventually: return judge_eventually(requirement.rule, signals);
    case scenario::TemporalForm::kHold: return judge_hold(requirement.rule, signals);
    case scenario::TemporalForm::kNone: break;
  }
  return {};
}

}  // namespace

TemporalResult judge_in_time(const scenario::Requirement& requirement,
                             std::span<const RowRecord> rows) {
  TemporalResult worst;
  for (std::size_t row = 0; row < rows.size(); ++row) {
    if (!rows[row].signals.kept) continue;
    TemporalResult one = judge_row(requirement, rows[row].signals);
    one.row = static_cast<int>(row);
    take(one, worst);
  }
  return worst;
}

}  // namespace sim::measure
