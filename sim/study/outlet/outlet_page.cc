// The page of `outlet`: the section that other pages include, and the assumptions it rests on.
#include "sim/output/cautions.h"
#include "sim/output/html.h"
#include "sim/output/number_text.h"
#include "sim/output/shown_units.h"
#include "sim/study/outlet/outlet_choice.h"
#include "sim/study/outlet/outlet_report.h"
#include "sim/study/run/sections.h"

namespace sim::outlet {
namespace {

using Lines = std::vector<std::vector<std::string>>;

std::string number(double value_si, int decimals) {
  return output::shown(value_si, output::Measure::kNumber, output::Units::kMetric, decimals);
}

void add_machine(const OutletResult& result, output::Units units, Lines& lines) {
  const scenario::Scenario& s = result.scenario;
  lines.push_back(
      {"Liquid", s.liquid.name + ", " +
                     output::shown(s.liquid.temperature_k, output::Measure::kTemperature, units) +
                     ", " + number(s.liquid.liquid.viscosity_pas * 1e3, 1) + " mPa s, " +
                     number(s.liquid.liquid.surface_tension_npm * 1e3, 1) + " mN/m"});
  lines.push_back(
      {"Rate, band, spacing",
       output::shown(s.rate.in_band_m3pm2, output::Measure::kRate, units) + ", " +
           output::shown_plain(s.rate.band_length_m, output::Measure::kPlace, units) + ", " +
           output::shown_plain(s.seeding.meter.spacing_m, output::Measure::kPlace, units)});
  lines.push_back(
      {"Supply", output::shown(s.supply.pressure_pa, output::Measure::kPressure, units) + " and " +
                     output::shown(s.supply.voltage_v, output::Measure::kVoltage, units) +
                     ", constant"});
}

void add_standing(const StandingAssumptions& a, output::Units units, Lines& lines) {
  lines.push_back({"Time without pulses at the end of a pass; in the stop",
                   number(a.pause_s, 0) + " s; " + number(a.stop_s, 0) + " s"});
  lines.push_back({"Warming or cooling in the stop, a share of it in the pause",
                   number(a.temperature_k, 1) + " K"});
  lines.push_back({"Expansion of the liquid (water at 20 °C); walls left out",
                   number(a.expansion * 1e6, 0) + " ppm/K"});
  lines.push_back({"Humidity of the air at the outlet, no wind",
                   output::shown(a.humidity_ratio, output::Measure::kShare, units)});
  lines.push_back({"Dissolved air, saturated in the tank, by volume; falls per kelvin by",
                   number(a.solubility_ratio, 3) + "; " +
                       output::shown(a.solubility_fall, output::Measure::kShare, units)});
  lines.push_back({"Diffusivity of dissolved air (water's)",
                   number(a.gas_diffusivity_m2ps * 1e9, 1) + " × 10⁻⁹ m²/s"});
  lines.push_back(
      {"Places on the wall where a bubble starts", number(a.bubbles_pm2 * 1e-6, 1) + " per mm²"});
}

void add_choices(const OutletResult& result, output::Units units, Lines& lines) {
  lines.push_back(
      {"Openings of the strainer, mesh " + std::to_string(result.strainer.mesh) + " (ASTM E11)",
       number(result.strainer.opening_m * 1e6, 0) + " µm"});
  lines.push_back({"Least bore, over these openings (common practice, no source)",
                   number(kLeastPlugging_ratio, 1)});
  lines.push_back(
      {"Least supply pressure, over the needed one (own choice)", number(kLeastPressure_ratio, 2)});
  lines.push_back(
      {"Full tube: most that the first pulse is late, after a pass; after the stop (own choice)",
       output::shown(kFullAfterPass_m, output::Measure::kPlace, units) + "; " +
           output::shown(kFullAfterStop_m, output::Measure::kPlace, units)});
  lines.push_back({"Price of one entry that differs from the attachment (own choice)",
                   output::shown(kPriceOfChange_m, output::Measure::kPlace, units, 2)});
}

std::string assumptions_html(const OutletResult& result, output::Units units) {
  output::Table table{"What the figures rest on, with its size.", {"What", "Size"}, {}, 1};
  add_machine(result, units, table.lines);
  add_standing(result.assumed, units, table.lines);
  add_choices(result, units, table.lines);
  return output::section_html(
      "Assumptions and limits",
      output::list_html(
          {"No bench or field validation: no valve, tube or outlet was measured for this page. "
           "Confirm the choice on a bench with water, then with the liquid.",
           "One nominal row without noise; the valve is new, tight, and shuts at once when it is "
           "commanded. A valve that leaks lets the column run out.",
           "The outlet's discharge coefficient is taken as the same at every bore. A stated wave "
           "speed holds at every bore; a material's comes from its modulus and wall.",
           "Walls that creep are taken as elastic here; moduli differ between batches and with "
           "temperature: candidates.csv has the range of the wave speed.",
           "Shaking, wind, and salt that dries in the outlet are left out. A machine that jolts "
           "needs more margin than the limit of the bore gives.",
           "A jet's aim and the delay table belong to one bore: set both anew for another "
           "outlet."}) +
          output::table_html(table));
}

std::string outlet_cautions_section() {
  return output::section_html("Cautions for outlet and tube",
                              output::list_html(output::outlet_cautions()));
}

}  // namespace

run::ReportExtra outlet_extra(const OutletResult& result, output::Units units) {
  return {.section = outlet_section(result, units)};
}

std::string outlet_report_html(const OutletResult& result, output::Units units) {
  const scenario::Scenario& scenario = result.scenario;
  const std::string subject = "Outlet for the attachment “" + scenario.attachment.name + "”";
  std::string worked = std::to_string(result.candidates.size()) + " parts were judged";
  std::size_t works = 0;
  for (const OutletCandidate& one : result.candidates) works += one.works ? 1 : 0;
  worked += ", " + std::to_string(works) + " meet every demand.";
  return output::page_html(
      subject, output::verdict_html(subject, outlet_sentence(result, units) + ".", worked,
                                    result.recommended < 0) +
                   outlet_section(result, units) + assumptions_html(result, units) +
                   outlet_cautions_section() + output::cautions_section() +
                   run::provenance_section(scenario.name, scenario.rng_key, result.hashes));
}

}  // namespace sim::outlet
