#include "sim/study/budget/budget_effects.h"

#include "model/valve/copper.h"

namespace sim::budget {
namespace {

bool full(const scenario::Scenario& s) { return s.row.physics == scenario::RowPhysics::kFull; }
bool drawn(const scenario::Scenario& s) { return s.seeding.spacings_m.empty(); }
bool always_absent(const scenario::Scenario&) { return false; }
void nothing(scenario::Scenario&) {}

constexpr BudgetEffect kEffects[] = {
    {.key = "seed_scatter",
     .name = "seed scatter above the sensor",
     .ideal = "every seed passes the sensor in the middle of its slot; measured spacings become "
              "their mean. It acts through the liquid alone, and an even train may ring in step "
              "with the column: then this part has a mean",
     .present =
         [](const scenario::Scenario& s) {
           return !drawn(s) || s.seeding.meter.scatter_ratio > 0.0;
         },
     .make_ideal = [](scenario::Scenario& s) { s.ideal.even_places = true; }},
    {.key = "doubles_and_skips",
     .name = "seed meter's doubles and skips",
     .ideal = "one seed a slot: skips filled, second seeds of doubles left out",
     .present =
         [](const scenario::Scenario& s) {
           const model::SeedMeterParams& meter = s.seeding.meter;
           return drawn(s) && (meter.doubles_ratio > 0.0 || meter.skips_ratio > 0.0);
         },
     .make_ideal = [](scenario::Scenario& s) { s.ideal.single_seeds = true; }},
    {.key = "sensor",
     .name = "seed sensor",
     .ideal = "no jitter, no edge missed or doubled, every row's sensor at its drawn height",
     .present =
         [](const scenario::Scenario& s) {
           const model::SeedSensorParams& sensor = s.sensor.sensor;
           return sensor.jitter_s > 0.0 || sensor.missed_ratio > 0.0 ||
                  sensor.doubled_ratio > 0.0 || s.noise.sensor_height_m > 0.0;
         },
     .make_ideal =
         [](scenario::Scenario& s) {
           model::SeedSensorParams& sensor = s.sensor.sensor;
           sensor.jitter_s = sensor.missed_ratio = sensor.doubled_ratio = 0.0;
           s.noise.sensor_height_m = 0.0;
         }},
    {.key = "delivery_time",
     .name = "delivery time",
     .ideal = "every seed takes the nominal time from sensor to furrow",
     .present = [](const scenario::Scenario& s) { return s.delivery.time_scatter_s > 0.0; },
     .make_ideal = [](scenario::Scenario& s) { s.delivery.time_scatter_s = 0.0; }},
    {.key = "seed_bounce",
     .name = "seed bounce",
     .ideal = "every seed bounces and rolls by the mean, which the table knows",
     .present =
         [](const scenario::Scenario& s) {
           return s.delivery.kind == model::DeliveryKind::kGravity
                      ? s.delivery.roll_scatter_m > 0.0
                      : s.delivery.rest_scatter_m > 0.0;
         },
     .make_ideal = [](scenario::Scenario& s) { s.ideal.mean_bounce = true; }},
    {.key = "speed_signal",
     .name = "speed signal",
     .ideal = "no noise, no lag and so none compensated, no steps but the bus frame's own; still "
              "as often a second as before",
     .present =
         [](const scenario::Scenario& s) {
           return s.noise.speed_noise_mps > 0.0 || s.noise.speed_lag_s > 0.0 ||
                  s.noise.speed_quantum_mps > 0.0 || s.controller.speed_lag_compensation_s > 0.0;
         },
     .make_ideal =
         [](scenario::Scenario& s) {
           s.noise.speed_noise_mps = s.noise.speed_lag_s = s.noise.speed_quantum_mps = 0.0;
           s.controller.speed_lag_compensation_s = 0.0;
         }},
    {.key = "clock",
     .name = "controller's clock",
     .ideal = "no drift; ticks and whole-number arithmetic are the firmware's own and stay, in "
              "what remains",
     .present = [](const scenario::Scenario& s) { return s.clock.drift_ratio > 0.0; },
     .make_ideal = [](scenario::Scenario& s) { s.clock.drift_ratio = 0.0; }},
    {.key = "radio",
     .name = "radio",
     .ideal = "not taken apart: a radio that is stated stays as it is in every pass",
     .modelled = false,
     .present = always_absent,
     .make_ideal = nothing},
    {.key = "valve",
     .name = "valve and its supply of current",
     .ideal = "nominal coil and spring, new and cold, at a steady voltage behind no harness",
     .present = full,
     .make_ideal =
         [](scenario::Scenario& s) {
           s.noise.coil_resistance_ratio = s.noise.spring_preload_ratio = 0.0;
           s.noise.voltage_ripple_v = 0.0;
           s.attachment.valve.wear = {};
           s.attachment.valve.coil.temperature_k = model::kTwentyCelsius_k;
           s.attachment.valve.coil.thermal_kpw = 0.0;
           s.supply.harness_ohm = s.supply.row_harness_ohm = 0.0;
         }},
    {.key = "column",
     .name = "column and earlier pulses",
     .ideal = "every pulse finds the liquid at rest, and its mean lead and lag are kept; every "
              "row's tube has the drawn length",
     .present = full,
     .make_ideal =
         [](scenario::Scenario& s) {
           s.ideal.still_column = true;
           s.noise.tube_length_m = 0.0;
         }},
    {.key = "jet",
     .name = "outlet and jet",
     .ideal = "the row does not ride; every outlet sits and is bored as drawn",
     .present =
         [](const scenario::Scenario& s) {
           return s.noise.outlet_mount_m > 0.0 || (full(s) && (s.noise.drop_height_ride_m > 0.0 ||
                                                               s.noise.outlet_bore_ratio > 0.0));
         },
     .make_ideal =
         [](scenario::Scenario& s) {
           s.noise.drop_height_ride_m = s.noise.outlet_mount_m = s.noise.outlet_bore_ratio = 0.0;
         }},
    {.key = "pressure",
     .name = "pressure",
     .ideal = "no ripple; the regulator holds its set point at once, for all rows the same",
     .present = full,
     .make_ideal =
         [](scenario::Scenario& s) {
           s.noise.pressure_ripple_ratio = s.supply.pressure_lag_s = 0.0;
           s.supply.manifold.pump_m3ps = 0.0;
         }},
    {.key = "flow_meter",
     .name = "flow meter",
     .ideal = "no rate loop: the pressure is the table's",
     .present = [](const scenario::Scenario& s) { return s.flow_meter.pulses_per_m3 > 0.0; },
     .make_ideal = [](scenario::Scenario& s) { s.flow_meter.pulses_per_m3 = 0.0; }},
    {.key = "strip_reading",
     .name = "reading of the strip test",
     .ideal = "the tape over the strip reads without error",
     .present =
         [](const scenario::Scenario& s) {
           return s.controller.row_trim && s.controller.strip_test_reading_m > 0.0;
         },
     .make_ideal = [](scenario::Scenario& s) { s.controller.strip_test_reading_m = 0.0; }},
    {.key = "faults",
     .name = "faults of the scenario",
     .ideal = "none happens",
     .present = [](const scenario::Scenario& s) { return !s.faults.empty(); },
     .make_ideal = [](scenario::Scenario& s) { s.faults.clear(); }},
};

}  // namespace

std::span<const BudgetEffect> budget_effects() { return kEffects; }

}  // namespace sim::budget
