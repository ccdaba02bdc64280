#include "sim/scenario/sections.h"

namespace sim::scenario {
namespace {

constexpr text::Range kShare{0.0, 1.0};
constexpr std::int64_t kMostWhole = 9'223'372'036'854'775'807;

constexpr std::string_view kDeliveries[] = {"conveyor", "conveyor timed", "gravity"};
constexpr std::string_view kPhysics[] = {"full", "ideal"};
constexpr std::string_view kDelaySources[] = {"tuned", "given", "table"};
constexpr std::string_view kSolverForms[] = {"auto", "fast", "dense"};
enum class SolverForm { kAuto, kFast, kDense };
constexpr std::string_view kPrecisions[] = {"double", "single"};
enum class Precision { kDouble, kSingle };

void describe(TravelSection& travel, text::Fields& f) {
  f.quantity("speed", travel.speed_mps, text::Kind::kSpeed, {0.0, 20.0}, "constant ground speed");
  f.special("profile", "[{time = \"0 s\", speed = \"8 km/h\", yaw_rate = \"0 deg/s\"}]",
            "instead of speed: knots, with straight lines between them; a repeated time makes a "
            "step; below 0: backwards, and the seed meters drop no seeds");
  f.special("log", "\"drive.nmea\"",
            "instead of speed: NMEA 0183 file of a recorded drive (RMC, VTG)");
  f.quantity("turn_radius", travel.turn_radius_m, text::Kind::kLength, {-1e5, 1e5},
             "turn radius of the reference point; 0: straight, positive: a right-hand turn");
}

void describe(SeedingSection& seeding, text::Fields& f) {
  model::SeedMeterParams& meter = seeding.meter;
  f.quantity("spacing", meter.spacing_m, text::Kind::kLength, {0.005, 2.0}, "theoretical spacing");
  f.special("population", "\"80 thousand/ha\"",
            "instead of spacing, which is then 1 / (population * row.width)");
  f.ratio("scatter", meter.scatter_ratio, {0.0, 0.5},
          "sd of each seed's place as it passes the sensor, as a share of spacing");
  f.ratio("doubles", meter.doubles_ratio, {0.0, 0.5},
          "share of the meter's slots that hold two seeds");
  f.ratio("skips", meter.skips_ratio, {0.0, 0.5}, "share of the meter's slots that hold no seed");
  f.ratio("double_gap_min", meter.double_gap_min_ratio, kShare,
          "smallest gap between the seeds of a double, as a share of spacing");
  f.ratio("double_gap_max", meter.double_gap_max_ratio, kShare,
          "largest gap between the seeds of a double, as a share of spacing");
  f.special(
      "spacings", "\"measured.csv\"",
      "CSV file of measured spacings, one per line, unit in the header; used in the file's order");
}

void describe_delivery(Scenario& scenario, text::Fields& f) {
  model::DeliveryParams& delivery = scenario.delivery;
  f.choice("kind", delivery.kind, kDeliveries, "how a seed gets from the sensor to the furrow");
  f.quantity("path", delivery.path_m, text::Kind::kLength, {0.0, 3.0, true},
             "conveyor: length of the belt from the sensor to the release");
  f.ratio("gear", delivery.gear_ratio, {0.0, 20.0, true},
          "conveyor: belt speed divided by ground speed");
  f.quantity("belt_speed", delivery.belt_speed_mps, text::Kind::kSpeed, {0.0, 20.0, true},
             "conveyor timed: belt speed");
  f.quantity("height", delivery.height_m, text::Kind::kLength, {0.0, 2.0, true},
             "gravity: height of the fall below the sensor");
  f.quantity("entry_speed", delivery.entry_speed_mps, text::Kind::kSpeed, {0.0, 10.0},
             "gravity: downward speed at the sensor");
  f.quantity("terminal_speed", delivery.terminal_speed_mps, text::Kind::kSpeed, {1.0, 50.0},
             "gravity: terminal speed of a seed in free fall");
  f.quantity("time_scatter", delivery.time_scatter_s, text::Kind::kTime, {0.0, 0.2},
             "sd of the delivery time (default 0.3 ms, gravity 5 ms)");
  f.quantity("rest_scatter", delivery.rest_scatter_m, text::Kind::kLength, {0.0, 0.5},
             "conveyor: sd of the place where a seed comes to rest");
  f.quantity("roll_scatter", delivery.roll_scatter_m, text::Kind::kLength, {0.0, 0.5},
             "gravity: sd of bounce and roll at 8 km/h; it grows with speed");
  f.quantity("drop_x", scenario.drop_x_unit_m, text::Kind::kLength, {-2.0, 2.0},
             "place along the row unit where a seed is released");
}

void describe(SensorSection& section, text::Fields& f) {
  model::SeedSensorParams& sensor = section.sensor;
  f.quantity("dwell", sensor.dwell_s, text::Kind::kTime, {0.0, 0.1, true},
             "time for which a seed covers the beam");
  f.quantity("jitter", sensor.jitter_s, text::Kind::kTime, {0.0, 0.05},
             "sd of the rising edge's time");
  f.ratio("missed", sensor.missed_ratio, kShare, "share of seeds that raise no edge");
  f.ratio("doubled", sensor.doubled_ratio, kShare,
          "share of seeds that raise a second, false edge");
  f.quantity("doubled_after", sensor.doubled_after_s, text::Kind::kTime, {0.0, 0.5},
             "time from the end of the true pulse to the false edge");
  f.quantity("seed_mass", section.seed_mass_kg, text::Kind::kMass, {0.0, 0.01, true},
             "mass of one seed, against which the jet's push is judged");
}

void describe(RowSection& row, text::Fields& f) {
  f.whole("count", row.count, 1, 64, "number of rows on the toolbar");
  f.quantity("width", row.width_m, text::Kind::kLength, {0.05, 5.0}, "row spacing");
  f.choice("physics", row.physics, kPhysics,
           "full: liquid and valve are simulated; ideal: fixed delays in their place");
  f.quantity("opening_delay", row.opening_delay_s, text::Kind::kTime, {0.0, 0.1},
             "ideal: time from command on to flow");
  f.quantity("closing_delay", row.closing_delay_s, text::Kind::kTime, {0.0, 0.1},
             "ideal: time from command off to no flow");
  f.quantity("flight_time", row.flight_time_s, text::Kind::kTime, {0.0, 1.0},
             "ideal: time from the outlet to the ground");
}

constexpr std::string_view kPumpCurves[] = {"linear", "parabola"};

void describe_manifold(SupplySection& supply, text::Fields& f) {
  model::Manifold& manifold = supply.manifold;
  f.quantity("pump_flow", manifold.pump_m3ps, text::Kind::kFlow, {0.0, 0.1},
             "pump flow at zero pressure; 0: no manifold, every row gets the regulator's pressure");
  f.quantity("pump_pressure", manifold.pump_pa, text::Kind::kPressure, {0.0, 5e6, true},
             "pump pressure at zero flow");
  f.choice("pump_curve", manifold.curve, kPumpCurves,
           "linear: flow falls in a straight line with pressure; parabola: pressure falls with the "
           "square of flow");
  f.quantity("relief_override", manifold.override_pa, text::Kind::kPressure, {0.0, 2e6, true},
             "pressure above the set point at which the relief valve passes the whole pump_flow");
  f.quantity("relief_lag", manifold.relief_lag_s, text::Kind::kTime, {0.0, 10.0},
             "first-order lag of the relief valve's opening");
  f.quantity("manifold_volume", manifold.volume_m3, text::Kind::kVolume, {0.0, 1.0, true},
             "volume of liquid between the pump and the row hoses");
  f.quantity("manifold_modulus", manifold.modulus_pa, text::Kind::kPressure, {1e5, 1e11},
             "effective bulk modulus of the manifold: liquid, walls and trapped air together");
  f.quantity("tank_volume", manifold.tank_m3, text::Kind::kVolume, {0.0, 100.0},
             "liquid in the tank at the start; 0: the tank is never empty");
  f.quantity("exchange", supply.exchange_s, text::Kind::kTime, {1e-4, 1e-2},
             "interval at which the rows exchange flow and current in manifold and harness");
}

void describe(SupplySection& supply, text::Fields& f) {
  f.quantity("pressure", supply.pressure_pa, text::Kind::kPressure, {0.0, 2e6, true},
             "highest pressure that the regulator sets");
  f.quantity("pressure_min", supply.pressure_min_pa, text::Kind::kPressure, {0.0, 2e6},
             "lowest pressure that the regulator sets");
  f.quantity("pressure_lag", supply.pressure_lag_s, text::Kind::kTime, {0.0, 10.0},
             "first-order lag of the regulator");
  f.quantity("voltage", supply.voltage_v, text::Kind::kVoltage, {0.0, 60.0, true},
             "supply voltage at the valve driver");
  describe_manifold(supply, f);
  f.quantity(
      "harness_resistance", supply.harness_ohm, text::Kind::kResistance, {0.0, 10.0},
      "resistance of battery and common harness: the voltage sags with the current of all rows");
  f.quantity("row_harness_resistance", supply.row_harness_ohm, text::Kind::kResistance, {0.0, 10.0},
             "resistance of each row's own wires");
}

void describe(RateSection& rate, text::Fields& f) {
  f.quantity("in_band", rate.in_band_m3pm2, text::Kind::kVolumePerArea, {0.0, 1e-4, true},
             "volume per area inside the band");
  f.quantity("band_length", rate.band_length_m, text::Kind::kLength, {0.0, 1.0, true},
             "commanded length of a band");
  f.flag("continuous", rate.continuous, "true: an unbroken stream instead of bands");
  f.special("zone", "[{from = \"3 s\", until = \"5 s\", in_band = \"7 gal/ac\"}]",
            "stretches of the way in which another rate is set; 0: nothing is laid there");
}

void describe(ControllerSection& controller, text::Fields& f) {
  f.text("library", controller.library,
         "shared library with the controller interface; empty: the reference controller");
  f.choice("delay", controller.delay, kDelaySources, "where the delay table comes from");
  f.text("table", controller.table, "for delay = \"table\": the file that `sillion delay` wrote");
  f.quantity("delay_time", controller.delay_time_s, text::Kind::kTime, {-1.0, 1.0},
             "for delay = \"given\": the time a of the delay D = a + b/v at row speed v");
  f.quantity("delay_distance", controller.delay_distance_m, text::Kind::kLength, {-2.0, 2.0},
             "for delay = \"given\": the distance b of the delay D = a + b/v at row speed v");
  f.quantity("lead", controller.lead_s, text::Kind::kTime, {0.0, 1.0},
             "for delay = \"given\": time from command on to the band's start");
  f.quantity("lag", controller.lag_s, text::Kind::kTime, {0.0, 1.0},
             "for delay = \"given\": time from command off to the band's end");
  f.quantity("delay_time_error", controller.delay_time_error_s, text::Kind::kTime, {-1.0, 1.0},
             "error that is added to a after tuning");
  f.quantity("delay_distance_error", controller.delay_distance_error_m, text::Kind::kLength,
             {-2.0, 2.0}, "error that is added to b after tuning");
  f.flag("ignore_lag", controller.ignore_lag,
         "true: the table states lag = lead, as if the valve closed the way it opens");
  f.flag("row_trim", controller.row_trim,
         "true: each row gets its own trim from a simulated strip test");
  f.whole("strip_test_bands", controller.strip_test_bands, 1, 10'000,
          "number of bands measured on each row's strip");
  f.quantity("strip_test_reading", controller.strip_test_reading_m, text::Kind::kLength, {0.0, 0.1},
             "sd of one tape reading");
  f.flag("opening_trim", controller.opening_trim,
         "true: each row trims its lead by the opening that its coil's current shows");
  f.flag("rest_correction", controller.rest_correction,
         "false: the table's correction by the time since the last closing is left out");
  f.quantity("speed_timeout", controller.speed_timeout_s, text::Kind::kTime, {0.0, 60.0, true},
             "a speed older than this shuts the valve");
  f.quantity("speed_lag_compensation", controller.speed_lag_compensation_s, text::Kind::kTime,
             {0.0, 10.0}, "lag of the speed signal that the controller allows for");
  f.quantity("watchdog", controller.watchdog_s, text::Kind::kTime, {0.0, 60.0},
             "a controller that does not kick for this long is reset; 0: no watchdog");
  f.text("storage", controller.storage,
         "image of each row controller's storage at the start, as a file; empty: blank");
  f.quantity("storage_erase", controller.storage_erase_s, text::Kind::kTime, {0.0, 10.0, true},
             "time that the erase of a page takes");
  f.quantity("storage_program", controller.storage_program_s, text::Kind::kTime, {0.0, 10.0, true},
             "time that the program of a page takes");
  f.whole("storage_endurance", controller.storage_endurance, 1, 1'000'000'000,
          "erases of a page; each later one leaves one more of its bits at 0");
  f.quantity("brown_out", controller.brown_out_v, text::Kind::kVoltage, {0.0, 100.0},
             "a controller whose supply dips below this is reset; 0: none is");
  f.quantity("brown_out_time", controller.brown_out_time_s, text::Kind::kTime, {0.0, 1.0},
             "time for which the supply may be below that without a reset");
  f.quantity(
      "entered_viscosity", controller.entered_viscosity_pas, text::Kind::kViscosity, {0.0, 10.0},
      "viscosity of today's liquid as entered for the table's correction; 0: that of [liquid]");
}

void describe(TuningSection& tuning, text::Fields& f) {
  f.quantity("slowest", tuning.slowest_mps, text::Kind::kSpeed, {0.3, 10.0}, "lowest row speed");
  f.quantity("fastest", tuning.fastest_mps, text::Kind::kSpeed, {0.3, 10.0}, "highest row speed");
  f.whole("speeds", tuning.speeds, 1, 100,
          "number of row speeds, evenly spaced from slowest to fastest");
  f.ratio("rate_span", tuning.rate_span_ratio, {0.0, 0.9},
          "the rates go from 1 - span to 1 + span times rate.in_band");
  f.whole("rates", tuning.rates, 1, 50, "number of rates");
  f.quantity("temperature_span", tuning.temperature_span_k, text::Kind::kTemperature, {0.0, 60.0},
             "in K: three temperatures, this much colder, the scenario's, this much warmer");
  f.quantity("voltage_span", tuning.voltage_span_v, text::Kind::kVoltage, {0.0, 12.0},
             "three voltages: this much lower, the scenario's, this much higher");
  f.ratio("spacing_span", tuning.spacing_span_ratio, {0.0, 0.8},
          "three spacings: this share shorter, the scenario's, this share longer");
  f.whole("seeds", tuning.seeds, 8, 1'000'000, "number of seeds per condition, all rows together");
}

void describe(FlowMeterSection& meter, text::Fields& f) {
  double pulses_per_litre_ratio = meter.pulses_per_m3 / 1000.0;
  f.ratio("pulses_per_litre", pulses_per_litre_ratio, {0.0, 1e6},
          "pulses per litre, a plain number; 0: no meter is fitted");
  meter.pulses_per_m3 = pulses_per_litre_ratio * 1000.0;
  f.quantity("minimum", meter.minimum_m3ps, text::Kind::kFlow, {0.0, 0.1},
             "flow below which the meter gives no pulses");
}

void describe(WorkSection& work, text::Fields& f) {
  f.flag("lowered", work.lowered, "whether the planter is lowered at the start");
  f.quantities("lift_times", work.lift_times_s, text::Kind::kTime, {0.0, 1e6},
               "times at which the planter is lifted or lowered");
  f.flag("run", work.run, "whether the machine is in run, not in hold, at the start");
  f.quantities("run_times", work.run_times_s, text::Kind::kTime, {0.0, 1e6},
               "times at which the whole machine goes to hold or back to run");
  f.special("row_off", "[{rows = [0, 1], from = \"3 s\", until = \"5 s\"}]",
            "section control: rows that get no liquid for a time; their seed meters go on");
}

void describe(ClockSection& clock, text::Fields& f) {
  f.ratio("drift", clock.drift_ratio, {0.0, 0.1},
          "sd over rows of the drift of the controllers' clocks");
  f.quantity("start_before_wrap", clock.start_before_wrap_s, text::Kind::kTime, {0.0, 1e5},
             "the counters start this long before they wrap");
}

void describe(NoiseSection& noise, text::Fields& f) {
  f.quantity("outlet_mount", noise.outlet_mount_m, text::Kind::kLength, {0.0, 0.1},
             "sd over rows of the outlet's place along the row");
  f.quantity("sensor_height", noise.sensor_height_m, text::Kind::kLength, {0.0, 0.1},
             "sd over rows of the seed sensor's height");
  f.ratio("outlet_bore", noise.outlet_bore_ratio, {0.0, 0.2},
          "sd over rows of the outlet's bore, as a share of the bore");
  f.quantity("tube_length", noise.tube_length_m, text::Kind::kLength, {0.0, 0.1},
             "sd over rows of the tube's length");
  f.ratio("coil_resistance", noise.coil_resistance_ratio, {0.0, 0.2},
          "sd over rows of the coil's resistance, as a share of it");
  f.ratio("spring_preload", noise.spring_preload_ratio, {0.0, 0.2},
          "sd over rows of the spring's preload, as a share of it");
  f.quantity("drop_height_ride", noise.drop_height_ride_m, text::Kind::kLength, {0.0, 0.1},
             "sd of the drop height along the ground");
  f.quantity("ride_length", noise.ride_length_m, text::Kind::kLength, {0.0, 100.0, true},
             "distance on the ground over which the drop height changes");
  f.quantity("speed_noise", noise.speed_noise_mps, text::Kind::kSpeed, {0.0, 5.0},
             "sd of each speed sample");
  f.quantity("speed_lag", noise.speed_lag_s, text::Kind::kTime, {0.0, 10.0},
             "first-order lag of the speed signal");
  f.quantity("speed_period", noise.speed_period_s, text::Kind::kTime, {0.001, 10.0},
             "time between speed samples");
  f.quantity("speed_quantum", noise.speed_quantum_mps, text::Kind::kSpeed, {0.0, 1.0},
             "smallest step of the speed signal");
  f.ratio("pressure_ripple", noise.pressure_ripple_ratio, {0.0, 0.9},
          "amplitude of a sine ripple, as a share of the pressure");
  f.quantity("pressure_ripple_frequency", noise.pressure_ripple_hz, text::Kind::kFrequency,
             {0.0, 1e4}, "frequency of the pressure ripple");
  f.quantity("voltage_ripple", noise.voltage_ripple_v, text::Kind::kVoltage, {0.0, 30.0},
             "amplitude of a sine ripple");
  f.quantity("voltage_ripple_frequency", noise.voltage_ripple_hz, text::Kind::kFrequency,
             {0.0, 1e5}, "frequency of the voltage ripple");
}

void describe(SolverSection& solver, text::Fields& f) {
  SolverForm form = solver.automatic                         ? SolverForm::kAuto
                    : solver.form == model::LineForm::kDense ? SolverForm::kDense
                                                             : SolverForm::kFast;
  f.choice("form", form, kSolverForms,
           "fast: friction at stations; dense: friction in every cell; auto: the cheapest that "
           "agrees with dense on a short train of this row");
  solver.automatic = form == SolverForm::kAuto;
  solver.form = form == SolverForm::kDense ? model::LineForm::kDense : model::LineForm::kFast;
  double step_s = static_cast<double>(solver.step_ns) * 1e-9;
  f.quantity_or_auto(
      "step", step_s, solver.automatic_step, text::Kind::kTime, {1e-7, 1e-3},
      "largest time step; auto: the longest of 10 to 50 us with which the bands stay "
      "within 0.15 mm of form dense (10 us where the form is stated)");
  solver.step_ns = shared::nanoseconds_of(step_s);
  f.whole("hose_stations", solver.hose_stations, 1, 1000,
          "number of places on the hose with friction and cavities");
  f.whole("tube_stations", solver.tube_stations, 1, 1000,
          "number of places on the tube with friction and cavities");
  f.whole("kernel_terms", solver.kernel_terms, 0, 26,
          "number of exponentials in the memory of unsteady friction");
  Precision precision = solver.single ? Precision::kSingle : Precision::kDouble;
  f.choice("precision", precision, kPrecisions,
           "double; single: passes run faster, within 0.02 mm of double at 30 seeds per second "
           "where no vapour stands in the lines; delay tables stay in double");
  solver.single = precision == Precision::kSingle;
  f.flag("turbulence", solver.turbulence,
         "turbulent friction above Re 1000; false: laminar at any speed");
  f.flag("cavities", solver.cavities, "vapour cavities may form in the lines");
  f.flag("outlet_void", solver.outlet_void, "the column may retreat from the outlet");
}

template <class Section>
void section(std::string_view name, std::string_view help, Section& part, text::Fields& f) {
  f.begin(name, help);
  describe(part, f);
  f.end();
}

}  // namespace

void describe(LiquidSection& section, text::Fields& f) {
  f.text("name", section.name, "name of a liquid in the catalog (`list liquids`)");
  f.quantity("temperature", section.temperature_k, text::Kind::kTemperature, {200.0, 400.0},
             "temperature of the liquid, which sets the catalog's values");
  describe(section.liquid, f);
  f.ratio("gas_fraction", section.liquid.gas_ratio, {0.0, 0.1},
          "free gas: its share of the mixture's volume at atmospheric pressure");
  f.ratio("abrasiveness", section.liquid.abrasiveness_ratio, {0.0, 1e3},
          "wear per volume, relative to the liquid for which a life_volume is stated");
}

void describe(Scenario& scenario, text::Fields& f) {
  f.special("base", "\"demo\"",
            "another scenario file; this file states only what differs from it");
  f.text("title", scenario.title, "one sentence for the report");
  f.quantity("duration", scenario.duration_s, text::Kind::kTime, {0.0, 1e6},
             "simulated time; 0: until `seeds` per row have come to rest");
  f.whole("seeds", scenario.seeds, 1, 100'000'000, "number of seeds per row");
  f.whole("rng_key", scenario.rng_key, 0, kMostWhole, "key of every random stream");
  section("travel", "how the machine moves", scenario.travel, f);
  section("seeding", "the seed meter", scenario.seeding, f);
  f.begin("delivery", "sensor to furrow");
  describe_delivery(scenario, f);
  f.end();
  section("sensor", "the seed sensor", scenario.sensor, f);
  section("row", "the toolbar", scenario.row, f);
  section("liquid", "a name of the catalog, any value overridden", scenario.liquid, f);
  section("supply", "pump and battery", scenario.supply, f);
  section("attachment", "a name of the catalog, any value overridden", scenario.attachment, f);
  section("rate", "what is wanted in the furrow", scenario.rate, f);
  section("controller", "the row controller", scenario.controller, f);
  section("tuning", "over what `delay` looks for the table; a pass does not read it",
          scenario.tuning, f);
  section("flow_meter", "", scenario.flow_meter, f);
  section("work", "", scenario.work, f);
  section("clock", "", scenario.clock, f);
  section("network", "radio to the rows, bus in the cab, what electronics draw", scenario.network,
          f);
  section("noise", "what differs between rows and moments", scenario.noise, f);
  section("solver", "", scenario.solver, f);
  f.special("fault", "[{kind = \"late_edges\", by = \"4 ms\"}]",
            "faults of the catalog (`list faults`)");
  f.special("require", "[{metric = \"...\", at_most = \"5 %\"}]", "requirements (`list metrics`)");
  f.special("search", "{passes = 500, ranges = {\"travel.speed\" = {uniform = [...]}}}",
            "ranges in which `sillion search` looks for a violation; a pass does not read it");
}

}  // namespace sim::scenario
