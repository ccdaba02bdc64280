// One row on the bench: its controller's interrupts, its valve and column, its ground, advanced
// slot by slot.
//
// [4] controller plans a pulse -> [5] valve drive -> [6] plunger -> [7] column -> [8] outlet jet ->
// deposit on the ground
//
// The plant steps on the column's own grid; commands between grid points act at their own instant
// inside the step, as shares of it. Frames and set points change at slot ends only.
// Errors   BenchError with row, step and state when the model leaves physics
// Checked  tests/sim/bench/pass_test.cc
#pragma once

#include <memory>
#include <utility>
#include <vector>

#include "model/machine/flow_meter.h"
#include "model/machine/travel.h"
#include "model/row/row_unit.h"
#include "sim/bench/controller_life.h"
#include "sim/bench/controller_port.h"
#include "sim/bench/ground.h"
#include "sim/bench/pass.h"
#include "sim/bench/row_fixed.h"
#include "sim/bench/seed_way.h"
#include "sim/bench/supply_exchange.h"
#include "sim/bench/supply_line.h"
#include "sim/bench/wave_recorder.h"

namespace sim::bench {

/// What happened to the watched seed, gathered while the row runs.
struct WatchRecord {
  bool on = false;
  double from_s = 0.0;
  double until_s = 0.0;
  measure::PulseHistory history;
  std::vector<TimedEvent> events;
};

class RowBench {
 public:
  /// `host` outlives the row; its lane is the row's index.
  RowBench(const scenario::Scenario& scenario, const model::Travel& travel, int row,
           std::uint32_t pass, const sillion_attachment_table& table, std::int32_t trim_um,
           ControllerHost& host);

  const SeedWay& way() const { return way_; }
  void watch(int seed, bool wave);
  void write_down(CallLog& log) { port_->write_down(log); }
  void receive(const std::vector<sillion_frame>& frames, shared::Instant at);
  /// Begins a slot, or an exchange step in it, under the supply as it stands at its start.
  /// `inputs`: bits SILLION_INPUT_*.
  void begin_slot(shared::Instant slot_start, shared::Instant slot_end, const SharedSupply& met,
                  std::uint32_t inputs);
  /// Runs on until the controller has to be asked (true: call() says what, take() gets the answer)
  /// or the slot is over (false).
  bool go_on();
  StepCall call() { return port_->call(); }
  void take(const StepCall& answered) {
    port_->take(answered, pending_);
    life_.answered(*port_);
  }
  /// Where ports run ahead: asks for what is left of the slot, to its end or to where the
  /// controller
  /// goes off or starts; false: all of it has been asked.
  bool ask_ahead(AheadHost& host);
  void take_ahead(const AheadHost& host) {
    port_->take(host.answer(row_), pending_);
    life_.answered(*port_);
  }
  RowDraw take_draw() { return std::exchange(draw_, {}); }
  std::vector<sillion_frame> take_sent() { return port_->take_sent(); }
  measure::RowRecord finish();
  const WatchRecord& watched() const { return watch_; }
  std::vector<measure::WaveInstant> wave() const {
    return wave_.instants(way_.edges, watch_.events);
  }

 private:
  void meet_supply(shared::Instant start, const SharedSupply& met);
  void warm_coil();
  bool call_due(shared::Instant step_end);
  void advance(shared::Instant step_start);
  void end_slot();
  void draw_from_manifold();
  double driver_voltage_v() const;
  void note_draw(const model::RowStepInput& input, const model::RowStepOutput& out);
  void leave_air_out(shared::Instant step_start, model::RowStepOutput& out);
  void bridge_changes(shared::Instant step_start, model::RowStepInput& input);
  void set_bridge(const sillion_bridge_command& command, shared::Instant at);
  model::RowStepOutput step_plant(shared::Instant step_start, const model::RowStepInput& input);
  double drop_height_m(double x_ground_m);
  void land(shared::Instant step_start, const model::RowStepOutput& out);
  void turn_meter(shared::Instant step_start, const model::RowStepOutput& out);
  void keep_signals(shared::Instant step_start, const model::RowStepInput& input,
                    const model::RowStepOutput& out);
  void keep_history(shared::Instant step_start, const model::RowStepInput& input,
                    const model::RowStepOutput& out, double x_landing_ground_m);
  double steady_flow_m3ps();

  const scenario::Scenario& scenario_;
  const model::Travel& travel_;
  int row_;
  RandomStream stream_;
  RowFixed fixed_;
  SeedWay way_;
  measure::RowRecord record_;
  std::unique_ptr<ControllerPort> port_;
  ControllerLife life_;
  std::unique_ptr<model::RowUnit> unit_;  // null: an ideal row
  std::unique_ptr<Ground> ground_;
  SupplyLine supply_;
  double ripple_phase_rad_ = 0.0;
  double dribble_mps_ = 0.0;
  shared::Instant now_{};
  shared::Duration step_{};
  shared::Instant slot_start_{}, slot_end_{}, ran_from_{};
  bool slot_asked_ = false;  // ahead: a question of this slot has been asked
  SharedSupply met_{};
  double sag_ratio_ = 1.0;  // of the pressure at this hose: a fault
  RowDraw draw_{};
  double own_a_ = 0.0;                     // what the driver draws just now
  double own_mean_a_ = 0.0;                // in the exchange step before
  double run_s_ = 0.0, square_a2s_ = 0.0;  // tidy: unit A2 s, since the coil was last warmed
  double coil_k_ = 0.0;
  double plug_left_m3_ = 0.0;  // liquid ahead of the air
  double air_in_m3_ = 0.0, air_out_m3_ = 0.0;
  double seat_open_ratio_ = 1.0;
  double outlet_open_ratio_ = 1.0;
  std::uint32_t digital_ = 0;
  sillion_bridge_command bridge_{};
  std::vector<BridgeChange> pending_;
  model::RowStepOutput last_{};
  model::FlowMeterState meter_;
  shared::Instant meter_last_{};
  double steady_pressure_pa_ = -1.0;
  double steady_flow_kept_m3ps_ = 0.0;
  struct IdealPulse {
    double from_s = 0.0;
    double to_s = 1e300;
  };
  std::vector<IdealPulse> ideal_;
  struct Ride {
    double knot_ratio[2] = {};
    long long knot = -1;
  } ride_;
  double landing_x_m_ = statistics::kNone_ratio;
  WatchRecord watch_;
  WaveRecorder wave_;
  double stored_at_start_m3_ = 0.0;
  double jet_out_m3_ = 0.0;
};

}  // namespace sim::bench
