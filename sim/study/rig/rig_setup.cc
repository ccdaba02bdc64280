#include "sim/study/rig/rig_setup.h"

#include <algorithm>

#include "model/fluid/wave_speed.h"
#include "sim/scenario/catalog.h"
#include "sim/scenario/layers.h"
#include "sim/scenario/line_keys.h"
#include "sim/scenario/linkage_table_file.h"
#include "sim/scenario/loader.h"
#include "sim/scenario/outlet_keys.h"
#include "sim/scenario/overlay.h"
#include "sim/scenario/valve_file.h"
#include "sim/study/rig/rig_checks.h"
#include "sim/study/rig/rig_history.h"

namespace sim::rig {
namespace {

constexpr std::string_view kEnds[] = {"orifice", "root", "linear", "closed", "pressure"};
constexpr std::string_view kGasPlaces[] = {"valve exit", "middle", "outlet"};
constexpr std::string_view kDecays[] = {"fast", "slow"};
constexpr std::string_view kFrictions[] = {"none", "quasi-steady", "exact"};

void describe_lines(RigSetup& setup, text::Fields& f) {
  f.begin("hose", "from the supply to the valve; none with an [inlet]");
  scenario::describe_line(setup.part.hose, f);
  f.end();
  f.begin("tube", "from valve or inlet to the outlet");
  scenario::describe_line(setup.part.tube, f);
  f.end();
}

void describe_ends(RigSetup& setup, text::Fields& f) {
  model::IdealEnd& end = setup.end;
  f.begin("outlet", "");
  f.choice("kind", end.kind, kEnds, "the outlet itself, or an ideal end in its place");
  scenario::describe_outlet(setup.part.outlet, f);
  f.quantity("flow", end.root_flow_m3ps, text::Kind::kFlow, {0.0, 1.0, true},
             "root: flow through the end");
  f.quantity("at", end.root_drop_pa, text::Kind::kPressure, {0.0, 1e9, true},
             "root: pressure at which `flow` passes");
  f.quantity("resistance", end.resistance_paspm3, text::Kind::kLineResistance, {0.0, 1e18, true},
             "linear: pressure divided by flow");
  f.quantity("value", end.pressure_pa, text::Kind::kPressure, {-1e5, 1e9},
             "pressure: constant pressure at the end");
  f.end();
  f.begin("gas_pocket", "free gas at one place of the tube");
  f.choice("at", setup.gas.place, kGasPlaces, "where the free gas is");
  f.quantity("volume", setup.gas.volume_m3, text::Kind::kVolume, {0.0, 1e-3},
             "volume of the free gas at atmospheric pressure");
  f.end();
}

void describe_drive(RigSetup& setup, text::Fields& f) {
  RigDrive& drive = setup.drive;
  f.begin("drive", "commands to the valve");
  f.quantity("first_on", drive.first_on_s, text::Kind::kTime, {0.0, 1e3},
             "time of the first command");
  f.quantity("on_time", drive.on_time_s, text::Kind::kTime, {0.0, 1e3, true},
             "length of each command");
  f.quantity("period", drive.period_s, text::Kind::kTime, {0.0, 1e3, true},
             "time from command to command");
  f.whole("pulses", drive.pulses, 1, 1'000'000, "number of commands");
  f.choice("decay", drive.decay, kDecays,
           "after a command: fast: the supply acts against the current; slow: a diode lets it "
           "freewheel");
  f.end();
  f.begin("ground", "what the bands would lie on");
  f.quantity("speed", setup.ground_speed_mps, text::Kind::kSpeed, {0.0, 20.0, true},
             "speed of the outlet over the ground");
  f.quantity("drop_height", setup.part.jet.drop_height_m, text::Kind::kLength, {0.0, 1.0, true},
             "height of the outlet above the ground");
  f.quantity("aim", setup.part.jet.aim_rad, text::Kind::kAngle, {-1.4, 1.4},
             "direction of the jet: 0 straight down, positive forward");
  f.end();
}

void describe_programme(RigProgramme& programme, text::Fields& f) {
  f.begin("programme", "what `valve` runs a valve through");
  f.quantities("widths", programme.widths_s, text::Kind::kTime, {1e-4, 1.0},
               "widths of single pulses; none stated: 1 to 30 ms");
  f.quantities("repetitions", programme.repetitions_hz, text::Kind::kFrequency, {0.1, 200.0},
               "repetition rates of bursts; none stated: 10 to 90 Hz");
  f.quantities("voltages", programme.voltages_v, text::Kind::kVoltage, {1.0, 60.0},
               "supply voltages; none stated: 10 to 14 V");
  f.quantities("coil_temperatures", programme.coil_temperatures_k, text::Kind::kTemperature,
               {200.0, 523.15},
               "temperatures of the coil, cold to hot; none stated: -10, 20, 80 C");
  f.quantities("pressures", programme.pressures_pa, text::Kind::kPressure, {0.0, 1e8},
               "supply pressures; none stated: 0.5, 1 and 1.5 times supply.pressure");
  f.whole("lift_steps", programme.lift_steps, 2, 100,
          "number of current steps for the curve of lift over current");
  f.whole("pulses", programme.pulses, 4, 10'000, "number of pulses for the repeatability");
  f.ratio("scatter", programme.scatter_ratio, {0.0, 0.3},
          "sd of the period of these pulses, as a share of it");
  f.ratio("dose_error", programme.dose_error_ratio, {0.001, 1.0},
          "largest dose error of a repeated pulse against a single one, as a share");
  f.ratio("linear_error", programme.linear_error_ratio, {0.001, 1.0},
          "largest error of a dose against the straight line over the width, as a share");
  f.end();
}

void describe_bench(RigBench& bench, text::Fields& f) {
  f.begin("bench", "what a valve's trace was measured with, and held against");
  f.ratio("probe_gain_tolerance", bench.probe_gain_tolerance_ratio, {0.0, 0.5},
          "95 % bound of the current probe's gain error");
  f.quantity("probe_range", bench.probe_range_a, text::Kind::kCurrent, {0.0, 1e3},
             "largest current that the probe can show; 0: not known");
  f.text("limits", bench.limits, "file of limits by which the valve is judged");
  f.quantity("sample_rate", bench.sample_hz, text::Kind::kFrequency, {1e3, 1e6},
             "sample rate of an invented trace");
  f.quantity("current_noise", bench.current_noise_a, text::Kind::kCurrent, {0.0, 1.0},
             "sd of an invented trace's current");
  f.quantity("voltage_noise", bench.voltage_noise_v, text::Kind::kVoltage, {0.0, 10.0},
             "sd of an invented trace's voltage");
  f.whole("bits", bench.bits, 6, 24,
          "bits of an invented trace's converter, over twice the probe's range");
  f.whole("odd_every", bench.odd_every, 0, 1'000'000,
          "in an invented trace, one pulse out of this many is odd; 0: none");
  f.quantity("odd_friction", bench.odd_friction_n, text::Kind::kForce, {0.0, 100.0},
             "friction of the odd pulses");
  f.flag("weighed", bench.weighed, "true: an invented trace states the collected mass");
  f.flag("widths_in_turn", bench.widths_in_turn,
         "true: the pulses of an invented trace take programme.widths in turn");
  f.end();
}

void describe_rest(RigSetup& setup, text::Fields& f) {
  f.begin("atmosphere", "");
  f.quantity("pressure", setup.atmosphere_pa, text::Kind::kPressure, {1e4, 2e5},
             "absolute pressure of the atmosphere");
  f.end();
  f.begin("record", "");
  f.quantity("every", setup.record.every_s, text::Kind::kTime, {1e-9, 1e3},
             "interval between the recorded points of the histories");
  f.quantities("at", setup.record.at_s, text::Kind::kTime, {0.0, 1e5},
               "times of the recorded points instead of `every`");
  f.quantity("duration", setup.record.duration_s, text::Kind::kTime, {0.0, 1e5},
             "length of the record; 0: until shortly after the last pulse or instant");
  f.end();
  describe_programme(setup.programme, f);
  describe_bench(setup.bench, f);
  describe_measured(setup.measured, f);
  model::SolverParams& solver = setup.solver;
  f.begin("solver", "");
  double step_s = static_cast<double>(solver.step_ns) * 1e-9;
  f.quantity("step", step_s, text::Kind::kTime, {1e-8, 1.0},
             "largest time step of a chain; with a bare tube, L/(a step) is made a whole number");
  solver.step_ns = shared::nanoseconds_of(step_s);
  f.whole("stations", solver.tube_stations, 0, 100'000,
          "number of places on the tube with friction");
  f.whole(
      "kernel", solver.kernel_terms, 0, 26,
      "number of exponentials in the memory of unsteady friction; more than 16: the published 26");
  f.choice("friction", solver.friction, kFrictions, "law of friction in a bare tube");
  f.flag("turbulence", solver.turbulence, "turbulent friction where the flow is fast");
  f.flag("cavities", solver.cavities, "vapour cavities may form in the lines");
  f.flag("outlet_void", solver.outlet_void, "the column may retreat from the outlet");
  bool dense = solver.form == model::LineForm::kDense;
  f.flag("dense", dense,
         "true: friction in every cell, with the published kernel; without this key, stations and "
         "kernel a chain takes the cheapest form that agrees with dense on its first pulses, and a "
         "bare tube is dense where that takes seconds");
  solver.form = dense ? model::LineForm::kDense : model::LineForm::kFast;
  f.end();
}

/// [valve.coil] holds the coil's drive too; these keys are taken out of it here.
void take_coil_drive(text::Node& document, RigDrive& drive, text::Places& places) {
  text::Node* valve = document.find("valve");
  text::Node* coil = valve == nullptr ? nullptr : valve->find("coil");
  if (coil == nullptr) return;
  const auto take = [&](const char* key, double& value_si, text::Kind kind, text::Range range) {
    const text::Node* node = coil->find(key);
    if (node == nullptr) return;
    const std::string name = std::string("valve.coil.") + key;
    value_si = text::read_quantity_si(*node, name, kind, range);
    places[name] = node->place;
    coil->drop(key);
  };
  take("current_limit", drive.current_limit_a, text::Kind::kCurrent, {0.0, 50.0});
  take("supply", drive.supply_v, text::Kind::kVoltage, {0.0, 60.0, true});
}

}  // namespace

void describe(RigSetup& setup, text::Fields& f) {
  f.special("base", "\"other\"", "another setup; this file states only what differs from it");
  f.text("title", setup.title, "one sentence for the report");
  f.text("attachment", setup.part.name, "name in the catalog: hose, valve, tube, outlet and jet");
  f.begin("liquid", "a name of the catalog, any value overridden");
  describe(setup.liquid, f);
  f.end();
  f.begin("supply", "");
  f.quantity("pressure", setup.supply_pa, text::Kind::kPressure, {-1e5, 1e8},
             "constant supply pressure");
  f.end();
  f.begin("valve", "none with an [inlet]");
  scenario::describe_valve(setup.part.valve, f);
  f.end();
  describe_lines(setup, f);
  describe_ends(setup, f);
  describe_inlet(setup, f);
  describe_drive(setup, f);
  describe_rest(setup, f);
}

std::vector<text::KeyHelp> rig_keys() {
  RigSetup defaults;
  std::vector<text::KeyHelp> keys =
      scenario::keys_of([&](text::Fields& fields) { describe(defaults, fields); });
  keys.push_back({"valve.coil.supply", "voltage", "12 V", "above 0 V to 60 V",
                  "supply voltage while the command is on"});
  keys.push_back({"valve.coil.current_limit", "current", "0 A", "0 A to 50 A",
                  "limit of the coil's current; 0: none"});
  return keys;
}

double rig_duration_s(const RigSetup& setup) {
  constexpr double kRunOut_s = 0.08;  // the column comes to rest, and its slosh is seen
  if (setup.record.duration_s > 0.0) return setup.record.duration_s;
  if (!setup.record.at_s.empty()) return setup.record.at_s.back();
  double end_s = setup.history.knots.empty() ? 0.0 : setup.history.knots.back().time_s;
  const RigTrain& train = setup.train;
  if (setup.inlet == RigInlet::kChain)
    end_s =
        std::max(end_s, setup.drive.first_on_s + (setup.drive.pulses - 1) * setup.drive.period_s +
                            setup.drive.on_time_s);
  else if (train.peak != 0.0)
    end_s =
        std::max(end_s, (train.frequency_hz > 0.0 ? (train.pulses - 1) / train.frequency_hz : 0.0) +
                            train.rise_s + train.hold_s);
  if (setup.history.frequency_hz > 0.0) end_s = 20.0 / setup.history.frequency_hz;
  return end_s + kRunOut_s;
}

model::RowUnitParams row_of(const RigSetup& setup) {
  model::RowUnitParams row;
  row.liquid = setup.liquid.liquid;
  row.hose = setup.part.hose;
  row.valve = setup.part.valve;
  row.tube = setup.part.tube;
  row.outlet = setup.part.outlet;
  row.end = setup.end;
  row.gas = setup.gas;
  row.atmosphere_pa = setup.atmosphere_pa;
  return row;
}

namespace {

void finish_rig_lines(const text::Node& document, const text::Places& places,
                      const text::Place& file, RigSetup& setup) {
  scenario::refuse_both(document);
  model::Liquid& liquid = setup.liquid.liquid;
  const double supply_abs_pa = std::max(setup.supply_pa, 0.0) + setup.atmosphere_pa;
  if (const text::Node* hose = document.find("hose"))
    scenario::read_line_creep(*hose, "hose.", setup.part.hose);
  if (const text::Node* tube = document.find("tube"))
    scenario::read_line_creep(*tube, "tube.", setup.part.tube);
  scenario::finish_line_keys(document, places, file, "hose", supply_abs_pa, liquid,
                             setup.part.hose);
  scenario::finish_line_keys(document, places, file, "tube", setup.atmosphere_pa, liquid,
                             setup.part.tube);
  liquid = model::with_gas(liquid);
}

}  // namespace

namespace {

/// Steps of all cells together that the dense form may take for a bare tube: about ten seconds.
constexpr double kMostDenseSteps_ratio = 2e8;

/// A bare tube is held against exact answers, so friction acts in every cell of it where that is
/// affordable.
void open_form_of_tube(RigSetup& setup) {
  const double step_s = static_cast<double>(setup.solver.step_ns) * 1e-9;
  const double cells_ratio = setup.part.tube.length_m / (setup.part.tube.wave_speed_mps * step_s);
  if (cells_ratio * rig_duration_s(setup) / step_s < kMostDenseSteps_ratio)
    setup.solver.form = model::LineForm::kDense;
}

bool states_form(const text::Node& document) {
  const text::Node* solver = document.find("solver");
  if (solver == nullptr) return false;
  return solver->find("dense") != nullptr || solver->find("stations") != nullptr ||
         solver->find("kernel") != nullptr;
}

}  // namespace

RigSetup load_rig_setup(const std::filesystem::path& file, const std::vector<std::string>& sets) {
  text::Node document = scenario::read_layers(file);
  for (const std::string& set : sets) scenario::lay_set_over(document, set);
  RigSetup setup;
  text::Places places;
  setup.name = file.stem().string();
  scenario::fill_liquid(document, file.parent_path(), {file.string(), 0, {}}, setup.liquid);
  if (const text::Node* name = document.find("attachment"))
    scenario::apply_attachment(text::read_text_value(*name, "attachment"), file.parent_path(),
                               name->place, setup.part, places);
  scenario::lay_valve_file(document, "valve", file);
  take_coil_drive(document, setup.drive, places);
  setup.solver.form = model::LineForm::kFast;
  text::Reader reader(document, "", places);
  reader.name_keys_of(rig_keys);
  describe(setup, reader);
  reader.finish();
  scenario::take_linkage_table(document, "", file, setup.part.valve.coil);
  if (const text::Node* limits = text::find_dotted(document, "bench.limits"))
    setup.bench.limits = scenario::path_from(limits->place, limits->text, file).string();
  scenario::settle_outlet(&document, setup.part.outlet, places, {file.string(), 0, {}}, "");
  finish_rig_lines(document, places, {file.string(), 0, {}}, setup);
  finish_inlet(setup, places, {file.string(), 0, {}});
  check_rig(setup, places, {file.string(), 0, {}});
  if (!states_form(document)) {
    setup.judge_form = setup.inlet == RigInlet::kChain && setup.drive.pulses > 0;
    if (setup.inlet != RigInlet::kChain) open_form_of_tube(setup);
  }
  finish_measured(document, file, places, setup);
  return setup;
}

}  // namespace sim::rig
