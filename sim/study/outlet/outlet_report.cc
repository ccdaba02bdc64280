#include "sim/study/outlet/outlet_report.h"

#include <algorithm>
#include <cmath>

#include "sim/output/html.h"
#include "sim/output/number_text.h"
#include "sim/output/shown_units.h"
#include "sim/study/outlet/outlet_choice.h"
#include "sim/study/run/sections.h"
#include "sim/study/run/sentences.h"

namespace sim::outlet {
namespace {

constexpr std::size_t kMostShown = 20;

const OutletCandidate& best_of(const OutletResult& result) {
  return result.candidates[static_cast<std::size_t>(result.recommended)];
}

std::string line_number(double value_si, output::Units units, int decimals) {
  return output::shown(value_si, output::Measure::kNumber, units, decimals);
}

std::string microlitres(double volume_m3, output::Units units) {
  return line_number(volume_m3 * 1e9, units, 1) + " mm³";
}

/// A shift along the row; "not followed" where it is infinite.
std::string shift(double length_m, output::Units units) {
  return std::isfinite(length_m) ? output::shown(length_m, output::Measure::kPlace, units)
                                 : "not followed";
}

std::string margin(double ratio) {
  return std::isfinite(ratio)
             ? output::shown(ratio, output::Measure::kNumber, output::Units::kMetric, 1) + " times"
             : "no limit";
}

std::string size_words(double bore_m, double length_m, output::Units units) {
  return output::shown_plain(bore_m, output::Measure::kPlace, output::Units::kMetric) + " × " +
         output::shown(length_m, output::Measure::kDistance, units);
}

std::vector<std::string> part_line(const OutletCandidate& c, output::Units units) {
  std::vector<std::string> line{
      c.part.tube_wall,
      output::fixed_text(c.part.bore_m * 1e3, 2) + " (" +
          output::fixed_text(c.part.bore_m / shared::kInch_m * 1e3, 0) + ")",
      size_words(c.part.tube_bore_m, c.part.tube_length_m, units),
      output::shown_plain(c.part.hose_bore_m, output::Measure::kPlace, output::Units::kMetric)};
  if (!c.pulsed) {
    line.insert(line.end(), {"", "", "", "not enough", line_number(c.jet_margin_ratio, units, 1),
                             line_number(c.plugging_ratio, units, 1)});
    return line;
  }
  const PulseShape& worst = c.pulses.worst;
  line.insert(line.end(),
              {shift(c.pulses.interference_m(), units),
               output::shown(worst.rise_s + worst.tail_s, output::Measure::kTime, units, 1),
               shift(c.full.stop.refill_m, units),
               output::shown(c.pressure_pa, output::Measure::kPressure, units),
               line_number(c.jet_margin_ratio, units, 1), line_number(c.plugging_ratio, units, 1)});
  return line;
}

output::Table parts_table(const OutletResult& result, output::Units units) {
  std::vector<std::size_t> order;
  for (std::size_t k = 0; k < result.candidates.size(); ++k)
    if (result.candidates[k].pareto) order.push_back(k);
  std::stable_sort(order.begin(), order.end(), [&](std::size_t a, std::size_t b) {
    return result.candidates[a].cost_m < result.candidates[b].cost_m;
  });
  const std::size_t on_list = order.size();
  if (on_list > kMostShown) order.resize(kMostShown);
  output::Table table{"", {"Part", "Wall of the tube", "Outlet", "Tube", "Hose bore"}, {}, 2};
  table.caption =
      std::to_string(on_list) + (on_list == 1 ? " part" : " parts") + " on the Pareto list" +
      (on_list > kMostShown ? ", the first " + std::to_string(kMostShown) : "") +
      ", least cost first; all of them in candidates.csv. Bores in mm, of the outlet also in "
      "thousandths of an inch; rise and tail the longest over all trains; refill after "
      "the stop; jet over its drip limit; bore over the strainer's openings.";
  for (const char* head : {"Interference", "Rise + tail", "Refill", "Pressure", "Jet", "Strainer"})
    table.head.emplace_back(head);
  const auto add = [&](const std::string& name, std::size_t index) {
    std::vector<std::string> line{name};
    for (std::string& cell : part_line(result.candidates[index], units))
      line.push_back(std::move(cell));
    table.lines.push_back(std::move(line));
  };
  for (std::size_t k = 0; k < order.size(); ++k)
    add(k == 0 ? "recommended" : std::to_string(k + 1), order[k]);
  if (order.empty() || order[0] != result.stated) add("as stated", result.stated);
  return table;
}

output::Table demands_table(const OutletResult& result) {
  output::Table table{
      "What a part must do, and how many of " + std::to_string(result.candidates.size()) + " do.",
      {"Demand", "Parts that do", "As stated"},
      {},
      1};
  for (std::size_t k = 0; k < kDemands; ++k) {
    const auto count = std::count_if(result.candidates.begin(), result.candidates.end(),
                                     [k](const OutletCandidate& c) { return c.holds[k]; });
    std::string words = demand_words(static_cast<Demand>(k));
    words.front() = static_cast<char>(words.front() - 'a' + 'A');
    table.lines.push_back(
        {words, std::to_string(count), result.candidates[result.stated].holds[k] ? "yes" : "no"});
  }
  return table;
}

output::Table standing_table(const OutletCandidate& c, output::Units units) {
  output::Table table{
      "What must be refilled before the first pulse is whole, part by part.",
      {"When", "In all", "Dried", "Colder", "Gas", "First pulse late", "Along the row"},
      {},
      1};
  const auto add = [&](const char* when, const StandingVoid& v) {
    table.lines.push_back({when, microlitres(v.void_m3, units), microlitres(v.dried_m3, units),
                           microlitres(v.contracted_m3, units), microlitres(v.gas_m3, units),
                           output::shown(v.refill_s, output::Measure::kTime, units),
                           output::shown(v.refill_m, output::Measure::kPlace, units)});
  };
  add("After one pulse", c.full.closed);
  add("At the end of a pass", c.full.pass);
  add("After the stop", c.full.stop);
  return table;
}

std::vector<std::string> full_lines(const OutletCandidate& c, output::Units units) {
  const Fullness& full = c.full;
  std::vector<std::string> lines;
  lines.push_back(
      (full.holds ? "The open end holds: this liquid stays in any bore up to "
                  : "The open end does not hold: this liquid stays only in a bore up to ") +
      bore_words(full.widest_bore_m) + ", and a column may hang " +
      output::shown(full.tallest_column_m, output::Measure::kDistance, units, 1) +
      " below a shut valve; here " + output::shown(full.hang_m, output::Measure::kDistance, units) +
      ". With the valve open to air the outlet "
      "alone would hold " +
      output::shown(full.jurin_m, output::Measure::kPlace, units) + ".");
  lines.push_back(full.void_stays
                      ? "A void at the outlet stays there: the tube is narrower than " +
                            bore_words(full.widest_void_tube_m) + "."
                      : "A void at the outlet rises to the valve and stays there as gas: only a "
                        "tube below " +
                            bore_words(full.widest_void_tube_m) + " would keep it.");
  lines.push_back(
      "Largest void while a pulse closes: " + microlitres(c.pulses.largest_void_m3, units) +
      "; left when the column is still " + microlitres(c.pulses.void_at_rest_m3, units) +
      ". Free gas stated for the tube: " + microlitres(full.free_gas_m3, units) +
      " at the atmosphere.");
  return lines;
}

}  // namespace

std::string bore_words(double bore_m) {
  return output::fixed_text(bore_m * 1e3, 2) + " mm (" +
         output::fixed_text(bore_m / shared::kInch_m * 1e3, 0) + " thousandths)";
}

std::string tube_words(const OutletPart& part, output::Units units) {
  std::string words = size_words(part.tube_bore_m, part.tube_length_m, units) + ", wall " +
                      part.tube_wall + "; hose " +
                      size_words(part.hose_bore_m, part.hose_length_m, units);
  if (part.hose_wall != "as stated") words += ", wall " + part.hose_wall;
  return words;
}

std::string outlet_sentence(const OutletResult& result, output::Units units) {
  if (result.recommended < 0)
    return "None of " + std::to_string(result.candidates.size()) +
           " parts can do the job; nearest workable: " + result.nearest_workable;
  const OutletCandidate& best = best_of(result);
  return bore_words(best.part.bore_m) + " outlet: tube holds its liquid, " +
         output::shown(best.pressure_pa, output::Measure::kPressure, units) + " for " +
         output::shown(result.scenario.rate.in_band_m3pm2, output::Measure::kRate, units) + " at " +
         run::speed_words(result.speed_mps, units) + ", pulses within " +
         output::shown(best.pulses.interference_m(), output::Measure::kPlace, units) + " over " +
         output::shown(best.pulses.rates.front().rate_hz, output::Measure::kNumber, units, 0) +
         " to " +
         output::shown(best.pulses.rates.back().rate_hz, output::Measure::kFrequency, units);
}

std::vector<std::string> outlet_reasons(const OutletResult& result, output::Units units) {
  std::vector<std::string> reasons;
  if (result.recommended < 0) return reasons;
  const OutletCandidate& best = best_of(result);
  const OutletCandidate& stated = result.candidates[result.stated];
  reasons.push_back("Recommended: outlet " + bore_words(best.part.bore_m) + ", tube " +
                    tube_words(best.part, units) + ". " +
                    (best.changes == 0
                         ? std::string("That is the attachment as stated; no change is worth its "
                                       "price.")
                         : std::to_string(best.changes) +
                               (best.changes == 1 ? " entry differs" : " entries differ") +
                               " from the attachment as stated."));
  std::string pulses =
      "Pulses shift each other by " + shift(best.pulses.interference_m(), units) + " at most, at " +
      output::shown(best.pulses.worst_rate_hz(), output::Measure::kFrequency, units) +
      " (dose by " +
      output::shown(best.pulses.dose_change_ratio(), output::Measure::kShare, units) + ")";
  if (best.changes > 0)
    pulses += stated.pulsed ? "; as stated by " + shift(stated.pulses.interference_m(), units)
                            : "; the attachment as stated does not serve the rate";
  reasons.push_back(pulses + ".");
  const PulseShape& alone = best.pulses.alone;
  const PulseShape& worst = best.pulses.worst;
  const auto time = [&](double time_s) {
    return output::shown(time_s, output::Measure::kTime, units);
  };
  reasons.push_back("Sharp ends: rise " + time(alone.rise_s) + ", fall " + time(alone.fall_s) +
                    ", tail " + time(alone.tail_s) + ", secondary share " +
                    output::shown(alone.secondary_ratio, output::Measure::kShare, units) +
                    "; longest over all trains " + time(worst.rise_s) + ", " + time(worst.fall_s) +
                    ", " + time(worst.tail_s) + ", " +
                    output::shown(worst.secondary_ratio, output::Measure::kShare, units) + ".");
  reasons.push_back(
      "Pressure: " + output::shown(best.pressure_pa, output::Measure::kPressure, units) +
      " gives the rate; the supply has " + margin(best.pressure_ratio) +
      " that, and at full pressure the part passes " +
      output::shown(best.largest_flow_m3ps, output::Measure::kFlow, units) + ".");
  reasons.push_back("Jet: " + output::shown(best.jet.speed_mps, output::Measure::kJetSpeed, units) +
                    ", " + margin(best.jet_margin_ratio) + " the drip limit; thrust " +
                    line_number(best.jet.thrust_over_seed_weight_ratio, units, 0) +
                    " times a seed's weight, landing " +
                    output::shown(best.jet.landing_clearance_m, output::Measure::kPlace, units) +
                    " beside it: it leaves the seed in place.");
  reasons.push_back("Plugging: the bore is " + margin(best.plugging_ratio) +
                    " the openings of a strainer of mesh " + std::to_string(result.strainer.mesh) +
                    ".");
  reasons.push_back("Full: refilling puts the first pulse " +
                    output::shown(best.full.pass.refill_m, output::Measure::kPlace, units) +
                    " late after a pass and " +
                    output::shown(best.full.stop.refill_m, output::Measure::kPlace, units) +
                    " after the stop.");
  return reasons;
}

std::string outlet_section(const OutletResult& result, output::Units units) {
  std::string inner = output::paragraph_html(outlet_sentence(result, units) + ".");
  const bool works = result.recommended >= 0;
  if (works) inner += output::list_html(outlet_reasons(result, units));
  inner += output::table_html(parts_table(result, units));
  if (works)
    inner += output::figure_html(
        interference_svg(result, units),
        "How far the pulses of an even train shift against a single pulse of the same on time. "
        "Below the dotted line seeds come as fast as the machine drives; above it they lie closer. "
        "All at the pressure of the judged speed.");
  const OutletCandidate& shown_part = works ? best_of(result) : result.candidates[result.stated];
  inner += "<h3>Whether the tube holds its liquid</h3>\n" +
           output::list_html(full_lines(shown_part, units));
  if (shown_part.pulsed) inner += output::table_html(standing_table(shown_part, units));
  inner += "<h3>Demands</h3>\n" + output::table_html(demands_table(result));
  return output::section_html("Outlet, tube and hose", inner);
}

}  // namespace sim::outlet
