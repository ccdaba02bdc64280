// One scenario in SI: everything that a pass needs to know. The defaults are the documentation; a
// scenario file states what differs. The order of fields is the order of sections in the file
// (scenarios/manual/files.md).
//
// Checked  tests/sim/scenario/loader_test.cc
#pragma once

#include <atomic>
#include <cstdint>
#include <memory>
#include <string>
#include <vector>

#include "model/furrow/outlet_jet.h"
#include "model/machine/manifold.h"
#include "model/machine/travel.h"
#include "model/row_params.h"
#include "model/seed/delivery.h"
#include "model/seed/seed_meter.h"
#include "model/seed/seed_sensor.h"
#include "shared/controller_abi.h"

namespace sim::scenario {

struct TravelSection {
  double speed_mps = 4.4444444444444446;
  std::vector<model::TravelKnot> profile;  // from `profile` or `log`; empty: constant speed
  double turn_radius_m = 0.0;  // 0 straight; positive right-hand turn, negative left-hand
  std::string log;             // NMEA 0183 file from which the profile was read, or empty
};

struct SeedingSection {
  model::SeedMeterParams meter;
  // measured spacings, used in order instead of the meter's draws; empty: draws
  std::vector<double> spacings_m;
};

struct SensorSection {
  model::SeedSensorParams sensor;
  double seed_mass_kg = 0.30e-3;
};

enum class RowPhysics : std::uint8_t { kFull, kIdeal };

struct RowSection {
  int count = 8;
  double width_m = 0.762;
  RowPhysics physics = RowPhysics::kFull;
  double opening_delay_s = 1e-3;  // ideal rows only: time from command to flow
  double closing_delay_s = 1e-3;
  double flight_time_s = 5e-3;
};

/// How a row's equations are solved.
struct SolverSection : model::SolverParams {
  bool automatic = true;  // judges the row before it passes and takes the cheapest form that holds
                          // (sim/bench/line_form.h)
  bool automatic_step = true;  // lengthens step_ns likewise, where the form is automatic too
  bool single = false;         // passes run in single precision where the form allows it
};

struct LiquidSection {
  std::string name = "water";
  double temperature_k = 293.15;
  model::Liquid liquid;  // from the catalog at that temperature; stated keys override it
};

struct SupplySection {
  double pressure_pa = 5e5;        // highest pressure that the pump holds
  double pressure_min_pa = 0.2e5;  // lowest pressure that the regulator holds
  double pressure_lag_s = 0.2;     // first-order lag of the regulator behind its set point
  double voltage_v = 12.6;
  model::Manifold manifold;      // pump, relief, tank; without pump flow: the regulator's pressure
  double exchange_s = 1e-3;      // interval at which rows are coupled by manifold and harness
  double harness_ohm = 0.0;      // battery and common harness
  double row_harness_ohm = 0.0;  // of each row alone
};

/// The part that carries liquid to the furrow, with hose and valve.
struct AttachmentSection {
  std::string name;
  std::string note;
  model::Line hose;
  model::Valve valve;
  model::Line tube;
  model::Outlet outlet;
  double gas_volume_m3 = 0.0;
  model::GasPlace gas_place = model::GasPlace::kValveExit;
  model::JetAim jet;
  double outlet_offset_m = 0.06;      // outlet trails the seed's drop point by this
  double lateral_clearance_m = 0.02;  // between jet axis and seed line
  bool guided = false;                // liquid runs down a surface instead of a free jet
  double guide_width_m = 0.01;        // of that surface, for the bound of a film
  double hold_current_a = 2.0;        // coil current set point when open
};

/// A stretch of the way with another rate (sim/scenario/rate_zones.h).
struct RateZone {
  double from_s = 0.0;
  double until_s = 1e9;
  double in_band_m3pm2 = 0.0;  // 0: nothing is laid
};

struct RateSection {
  double in_band_m3pm2 = 0.0;  // volume per area
  double band_length_m = 0.075;
  bool continuous = false;
  std::vector<RateZone> zones;
};

/// Where the controller's delay table comes from.
enum class DelaySource : std::uint8_t {
  kTuned,  // fitted on the nominal row without noise, over speeds (sim/study/tune/tune)
  kGiven,  // the numbers below
  kTable,  // a file that `delay` wrote (sim/scenario/delay_file.h)
};

struct ControllerSection {
  std::string
      library;  // a shared library that exports shared/controller_abi.h; empty: the reference
  DelaySource delay = DelaySource::kTuned;
  std::string table;                 // kTable: the file
  sillion_attachment_table given{};  // kTable: the contents of the file
  double delay_time_s = 0.0;         // a
  double delay_distance_m = 0.0;     // b
  double lead_s = 0.0;               // kGiven: T_lead and T_lag at every flow
  double lag_s = 0.0;
  double delay_time_error_s = 0.0;      // added to a after tuning: shows a wrong table's effect
  double delay_distance_error_m = 0.0;  // added to b after tuning
  bool ignore_lag = false;  // the table states T_lag = T_lead, as if the valve closed as it opens
  bool row_trim = false;    // each row gets the trim of a strip test in mm (the next two keys)
  int strip_test_bands = 40;
  double strip_test_reading_m = 1e-3;  // sd of one tape reading
  bool opening_trim = false;  // rows trim their lead by the opening that their coil's current shows
  bool rest_correction =
      true;  // false: the table's correction by the rest before a pulse is left out
  double speed_timeout_s = 0.3;
  double speed_lag_compensation_s = 0.3;
  std::string storage;  // image of a row controller's storage at the start; empty: blank
  std::vector<std::uint8_t> storage_image;   // its contents
  double storage_erase_s = 20e-3;            // time of an erase of a page
  double storage_program_s = 2e-3;           // time of a program of a page
  std::int64_t storage_endurance = 100'000;  // erases of a page; later ones leave bits that stick
  double brown_out_v = 6.0;                  // supply below which a controller is reset
  double brown_out_time_s = 1e-3;            // that its supply may be below this without a reset
  double watchdog_s = 0.1;  // a controller without a kick for this time is reset; 0: no watchdog
  // today's viscosity as a person entered it, for the table's correction; 0: that of [liquid]
  double entered_viscosity_pas = 0.0;
};

/// The range over which `delay` tunes the table; a pass does not read it.
struct TuningSection {
  double slowest_mps = 4.0 / 3.6;  // row speed: on a curve the inner rows are slower
  double fastest_mps = 21.0 / 3.6;
  int speeds = 12;
  double rate_span_ratio = 0.4;  // rates from 1 - span to 1 + span of rate.in_band
  int rates = 5;
  double temperature_span_k = 8.0;  // three temperatures: colder, the scenario's, warmer
  double voltage_span_v = 1.5;      // three voltages likewise
  double spacing_span_ratio = 0.3;  // three spacings likewise
  int seeds = 400;                  // of all rows, per condition
};

struct FlowMeterSection {
  double pulses_per_m3 = 0.0;  // 0: no flow meter
  double minimum_m3ps = 0.0;   // below this flow the meter gives no pulses
};

/// Rows that section control switches off for a time; their seed meters continue.
struct RowsOff {
  std::vector<int> rows;
  double from_s = 0.0;
  double until_s = 1e9;
};

struct WorkSection {
  bool lowered = true;
  std::vector<double> lift_times_s;  // instants at which the planter is lifted or lowered
  bool run = true;                   // state at the start: true run, false hold
  std::vector<double> run_times_s;   // instants at which the machine goes to hold or back to run
  std::vector<RowsOff> row_off;      // section control
};

struct ClockSection {
  double drift_ratio = 50e-6;  // sd over rows of the controllers' clocks against the world
  double start_before_wrap_s = 2.0;
};

/// The radio between the machine's controller and the rows (sim/bench/radio_sender.h,
/// radio_channel.h).
struct RadioSection {
  double period_s = 0.0;  // of the time slots; 0: no radio, frames cross within a slot of the bench
  double slot_s = 2e-3;   // the machine's first, then one for each row
  double rate_bitps = 250e3;   // on the air
  int overhead_bytes = 14;     // of each frame, on top of its own bytes
  int queue_frames = 8;        // frames that wait in one station; one more fails
  double latency_s = 0.5e-3;   // after the air time, for every frame
  double scatter_s = 0.0;      // mean of an exponential part of the latency
  double worsens_ratio = 0.0;  // chance per frame that a good channel is bad at the next
  double recovers_ratio = 1.0;
  double lost_good_ratio = 0.0;  // share of the frames that a good channel loses
  double lost_bad_ratio = 0.0;
  double repeated_ratio = 0.0;  // share of the frames that arrive twice
};

/// The bus in the cab: ISO 11783 on CAN 2.0B at 250 kbit/s (sim/bench/cab_bus.h).
struct CabSection {
  bool simulated = false;   // false: speed and course reach the machine at their own instants
  double load_ratio = 0.0;  // share of the bus's time that frames of other nodes ask for
  // of those frames, one node for each: engine, wheel-based speed, vehicle speed
  std::vector<std::uint32_t> load_ids = {0x0CF00400, 0x0CFE48F0, 0x18FEF100};
  double bit_error_ratio = 0.0;  // chance per bit that a frame is destroyed there
  double own_period_s = 0.1;     // of the frame that the machine's node sends
};

/// What electronics draw; all 0: not reported.
struct PowerSection {
  double awake_a = 0.0;   // of a row's controller while it works on a call
  double asleep_a = 0.0;  // between its calls
  double call_s = 0.0;    // time for which one call keeps it awake
  double transmit_a = 0.0;
  double receive_a = 0.0;  // while the row listens: in the machine's time slot
};

/// The links between machine controller and rows, and the bus in the cab.
struct NetworkSection {
  // Without a radio: a sender learns whether its frame arrived, as on a bus.
  bool acknowledged = true;
  RadioSection radio;
  CabSection cab;
  PowerSection power;
};

struct NoiseSection {
  double outlet_mount_m = 3e-3;  // sd, each row, fixed for the run
  double sensor_height_m = 5e-3;
  double outlet_bore_ratio = 0.015;
  double tube_length_m = 10e-3;
  double coil_resistance_ratio = 0.03;
  double spring_preload_ratio = 0.05;
  double drop_height_ride_m = 8e-3;  // sd of drop height, correlated over ride_length
  double ride_length_m = 0.5;
  double speed_noise_mps = 0.02;  // sd of each speed sample
  double speed_lag_s = 0.3;
  double speed_period_s = 0.1;
  double speed_quantum_mps = 0.001;
  double pressure_ripple_ratio = 0.03;  // sine amplitude over pressure
  double pressure_ripple_hz = 20.0;
  double voltage_ripple_v = 0.3;  // sine amplitude
  double voltage_ripple_hz = 100.0;
};

/// One fault of the catalog with its values by name (sim/scenario/faults/catalog.h).
struct FaultEntry {
  std::string kind;
  int row = -1;  // -1: every row
  double from_s = 0.0;
  double until_s = 1e9;
  double by_s = 0.0;
  double amount_ratio = 0.0;
  int cause = 0;     // of kResetCauses (sim/scenario/faults/seam.h)
  int retained = 0;  // of kRetained
  int write = 0;     // of the storage, from 1; 0: not stated
  int bytes = 0;
  int page = 0;
  int bits = 0;
  std::string place = {};  // "my.toml:12"; does not affect results
};

/// Which faults have changed anything in a pass, by index; any thread marks.
struct FaultMarks {
  explicit FaultMarks(std::size_t faults) : acted(faults) {}
  std::vector<std::atomic<bool>> acted;
};

/// What a counterfactual pass (sim/study/budget/budget_effects.h) has at its ideal where no key of
/// a file could express it. Scenario files have no section for this: every normal pass has the
/// values below.
struct IdealSwitches {
  bool even_places = false;    // every seed passes the sensor in the middle of its slot
  bool single_seeds = false;   // one seed per slot: skips are filled, second seeds left out
  bool mean_bounce = false;    // every seed bounces by the mean distance
  bool still_column = false;   // every pulse finds the liquid at rest, from hose to outlet
  double still_shift_s = 0.0;  // delay added to landings of a still column, at the row's speed
};

enum class BoundSense : std::uint8_t { kAtMost, kAtLeast };

/// A statement about a row's signals over time (sim/measure/temporal.h); kNone: about a metric.
enum class TemporalForm : std::uint8_t { kNone, kAlways, kNever, kEventually, kHold };

/// Signals are named as in sim/scenario/signal_catalog.h; empty: not stated.
struct TemporalRule {
  TemporalForm form = TemporalForm::kNone;
  std::string signal;
  bool negated = false;   // "not open"
  std::string during;     // kAlways, kNever: only while this signal is on
  std::string when;       // kEventually, kHold: from each rise of this; empty: from the start
  std::string until;      // kHold: up to the next rise of this signal
  double within_s = 0.0;  // kEventually: at most this long after `when`
  int within_seeds = 0;   // or at most so many edges of the seed sensor after it
  double grace_s = 0.0;   // kNever: this long after each rise of `during` is not counted
};

struct Requirement {
  std::string metric;  // a name of sim/measure/catalog.h, or the words of a temporal rule
  BoundSense sense = BoundSense::kAtMost;
  double bound = 0.0;  // in the metric's SI unit  (tidy: unit is the metric's)
  TemporalRule rule = {};
  std::string place = {};  // "scenarios/demo.toml:12"; does not affect results
};

struct Scenario {
  std::string name = "unnamed";
  std::string title;
  TravelSection travel;
  SeedingSection seeding;
  model::DeliveryParams delivery;
  double drop_x_unit_m = 0.0;
  SensorSection sensor;
  RowSection row;
  LiquidSection liquid;
  SupplySection supply;
  AttachmentSection attachment;
  RateSection rate;
  ControllerSection controller;
  TuningSection tuning;
  FlowMeterSection flow_meter;
  WorkSection work;
  ClockSection clock;
  NetworkSection network;
  NoiseSection noise;
  SolverSection solver;
  std::vector<FaultEntry> faults;
  IdealSwitches ideal;
  std::shared_ptr<FaultMarks> fault_marks;  // of a pass (sim/bench/pass.cc)
  std::vector<Requirement> requirements;
  double duration_s = 0.0;  // 0: until `seeds` per row have come to rest
  int seeds = 500;
  std::uint64_t rng_key = 1;
};

}  // namespace sim::scenario
