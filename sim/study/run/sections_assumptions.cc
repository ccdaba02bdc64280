#include "sim/bench/line_form.h"
#include "sim/bench/row_team.h"
#include "sim/output/html.h"
#include "sim/output/shown_units.h"
#include "sim/study/run/line_words.h"
#include "sim/study/run/sections.h"

namespace sim::run {
namespace {

std::string precision_words(const scenario::Scenario& scenario) {
  if (!scenario.solver.single) return "";
  return bench::fits_lanes(bench::line_form_of(scenario).solver)
             ? " Passes were computed in single precision."
             : " Single precision was asked for, but this form needs double precision and had it.";
}

using Lines = std::vector<std::vector<std::string>>;

void add_seed_noise(Lines& lines, const scenario::Scenario& scenario, output::Units units) {
  const auto share = [&](double value_ratio) {
    return output::shown_plain(value_ratio, output::Measure::kShare, units);
  };
  const auto place = [&](double value_m) {
    return output::shown_plain(value_m, output::Measure::kPlace, units);
  };
  const auto time = [&](double value_s) {
    return output::shown(value_s, output::Measure::kTime, units);
  };
  const bool measured = !scenario.seeding.spacings_m.empty();
  const model::SeedMeterParams& meter = scenario.seeding.meter;
  if (measured) {
    lines.push_back({"Spacing of the seeds", "each seed", "as measured"});
  } else {
    lines.push_back({"Scatter of the spacing, above the sensor (sd of the spacing)", "each seed",
                     share(meter.scatter_ratio)});
    lines.push_back({"Doubles; skips", "each seed",
                     share(meter.doubles_ratio) + "; " + share(meter.skips_ratio)});
  }
  const model::DeliveryParams& delivery = scenario.delivery;
  lines.push_back(
      {"Delivery time, sensor to furrow (sd)", "each seed", time(delivery.time_scatter_s)});
  if (delivery.kind == model::DeliveryKind::kGravity)
    lines.push_back({"Bounce and roll, forward tail (sd at 8 km/h, grows with speed)", "each seed",
                     place(delivery.roll_scatter_m)});
  else
    lines.push_back({"Place of rest (sd)", "each seed", place(delivery.rest_scatter_m)});
  const model::SeedSensorParams& sensor = scenario.sensor.sensor;
  lines.push_back({"Sensor jitter (sd)", "each seed", time(sensor.jitter_s)});
  lines.push_back({"Edges missed; doubled", "each seed",
                   share(sensor.missed_ratio) + "; " + share(sensor.doubled_ratio)});
}

void add_row_noise(Lines& lines, const scenario::Scenario& scenario, output::Units units) {
  const scenario::NoiseSection& noise = scenario.noise;
  const auto share = [&](double value_ratio) {
    return output::shown_plain(value_ratio, output::Measure::kShare, units);
  };
  const auto place = [&](double value_m) {
    return output::shown_plain(value_m, output::Measure::kPlace, units);
  };
  const char* each = "each row, fixed";
  lines.push_back({"Mount of the outlet (sd)", each, place(noise.outlet_mount_m)});
  lines.push_back({"Height of the sensor (sd)", each, place(noise.sensor_height_m)});
  lines.push_back({"Outlet bore (sd)", each, share(noise.outlet_bore_ratio)});
  lines.push_back({"Tube length (sd)", each, place(noise.tube_length_m)});
  lines.push_back({"Coil resistance (sd)", each, share(noise.coil_resistance_ratio)});
  lines.push_back({"Spring preload (sd)", each, share(noise.spring_preload_ratio)});
  lines.push_back(
      {"Clock of the controller (sd)", each,
       output::shown(scenario.clock.drift_ratio * 1e6, output::Measure::kNumber, units, 0) +
           " ppm"});
  lines.push_back(
      {"Drop height as the row rides (sd)", "each row", place(noise.drop_height_ride_m)});
}

void add_machine_noise(Lines& lines, const scenario::Scenario& scenario, output::Units units) {
  const scenario::NoiseSection& noise = scenario.noise;
  const auto hertz = [&](double rate_hz) {
    return output::shown(rate_hz, output::Measure::kFrequency, units);
  };
  lines.push_back({"Speed signal: noise (sd); lag; period", "machine",
                   output::shown(noise.speed_noise_mps, output::Measure::kJetSpeed, units, 2) +
                       "; " + output::shown(noise.speed_lag_s, output::Measure::kTime, units, 0) +
                       "; " +
                       output::shown(noise.speed_period_s, output::Measure::kTime, units, 0)});
  lines.push_back({"Pressure ripple (sine amplitude)", "machine",
                   output::shown(noise.pressure_ripple_ratio, output::Measure::kShare, units) +
                       " at " + hertz(noise.pressure_ripple_hz)});
  lines.push_back({"Voltage ripple (sine amplitude)", "machine",
                   output::shown(noise.voltage_ripple_v, output::Measure::kVoltage, units) +
                       " at " + hertz(noise.voltage_ripple_hz)});
}

}  // namespace

std::string assumptions_section(const scenario::Scenario& scenario, output::Units units) {
  output::Table table{
      "Noise in use. These amounts are assumptions of this project without a source.",
      {"What scatters", "How", "Amount"},
      {},
      2};
  add_seed_noise(table.lines, scenario, units);
  add_row_noise(table.lines, scenario, units);
  add_machine_noise(table.lines, scenario, units);
  return output::section_html(
      "Assumptions and limits",
      output::list_html(
          {"No bench or field validation: no valve, attachment or furrow was measured for "
           "this report. Every figure comes from the model and the assumptions below.",
           "Soaking into the soil and running along the furrow are not modelled. A band is "
           "where its liquid first lands.",
           "No standard sets a tolerance for the place of a band. 10 mm, 25 mm and half the "
           "band are this project's choice.",
           scenario.row.physics == scenario::RowPhysics::kIdeal
               ? std::string("This row is ideal: fixed delays and flight time stand in place "
                             "of valve, liquid and tube.")
               : "Liquid: " + scenario.liquid.name + " at " +
                     output::shown(scenario.liquid.temperature_k, output::Measure::kTemperature,
                                   units) +
                     ", " +
                     output::shown(scenario.liquid.liquid.viscosity_pas * 1e3,
                                   output::Measure::kNumber, units, 1) +
                     " mPa s, " +
                     output::shown(scenario.liquid.liquid.density_kgpm3, output::Measure::kNumber,
                                   units, 0) +
                     " kg/m³.",
           scenario.row.physics == scenario::RowPhysics::kIdeal
               ? std::string("An ideal row has no lines to solve.")
               : line_words(bench::line_form_of(scenario), units) + precision_words(scenario)}) +
          output::table_html(table));
}

}  // namespace sim::run
