// One row on the bench: its controller's interrupts, its plant and its ground, advanced step by
// step within slots by its team (sim/bench/row_team).
//
// [4] controller plans a pulse     sim/bench/controller_port
// [5] valve drive                  sim/bench/bridge_drive
// [6] plunger and [7] column       sim/bench/row_plant, under sim/bench/row_supply
// [8] jet and deposit              sim/bench/jet_landing, sim/bench/ground
//
// The plant steps on the column's own grid; commands between grid points act at their own instant
// inside the step, as shares of it. Frames and set points change at slot ends only.
// Errors   BenchError with row, step and state when the model leaves physics
// Checked  tests/sim/bench/pass_test.cc
#pragma once

#include <memory>
#include <optional>
#include <vector>

#include "model/machine/flow_meter.h"
#include "model/machine/travel.h"
#include "sim/bench/air_behind.h"
#include "sim/bench/bridge_drive.h"
#include "sim/bench/coil_recorder.h"
#include "sim/bench/controller_life.h"
#include "sim/bench/controller_port.h"
#include "sim/bench/current_burst.h"
#include "sim/bench/frame_link.h"
#include "sim/bench/ground.h"
#include "sim/bench/jet_landing.h"
#include "sim/bench/network_record.h"
#include "sim/bench/pass.h"
#include "sim/bench/played.h"
#include "sim/bench/radio_sender.h"
#include "sim/bench/row_plant.h"
#include "sim/bench/row_recorder.h"
#include "sim/bench/row_supply.h"
#include "sim/bench/seed_way.h"
#include "sim/bench/storage_setup.h"

namespace sim::bench {

class RowBench {
 public:
  /// `host` and `played` outlive the row; its lane is the row's index. `played`: a recording whose
  /// seeds and drive take the place of its own; its controller then hears and moves nothing.
  RowBench(const scenario::Scenario& scenario, const model::Travel& travel, int row,
           std::uint32_t pass, const sillion_attachment_table& table, std::int32_t trim_um,
           ControllerHost& host, const Played* played = nullptr);

  const SeedWay& way() const { return way_; }
  /// Keeps what its coil does; `step_s` between samples of the current, 0: only the openings.
  void keep_coil(double step_s) {
    coil_ = {step_s, fixed_.liquid_path.valve.plunger.travel_m, record_.coil};
  }
  void watch(int seed, bool wave) { recorder_.watch(way_, static_cast<std::size_t>(seed), wave); }
  void write_down(CallLog& log) { port_->write_down(log); }
  /// A hand-over at a slot's start: frames, and the newest burst of the coil's current.
  void receive(const std::vector<sillion_frame>& frames, shared::Instant at);
  /// Begins a slot, or an exchange step in it, under the supply as it stands at its start.
  /// `inputs`: bits SILLION_INPUT_*.
  void begin_slot(shared::Instant slot_start, shared::Instant slot_end, const SharedSupply& supply,
                  std::uint32_t inputs);
  bool slot_over() const { return now_ >= slot_.end; }
  /// Whether the controller has to be asked before the next step: call() says what, take() gets the
  /// answer.
  bool call_due();
  /// One step of a row alone.
  void step();
  /// What acts on the plant in the step that comes, where it steps in lanes; end_step() then books
  /// what it did.
  model::RowStepInput begin_step();
  void end_step(const model::RowStepInput& input, const model::RowStepOutput& did);
  void end_slot();
  shared::Duration step_length() const { return step_; }
  /// Null where the plant has no liquid path that can step in lanes.
  model::RowUnit* unit() const { return plant_->unit(); }
  StepCall call() { return port_->call(); }
  void take(const StepCall& answered) {
    port_->take(answered, commands());
    life_.answered(*port_);
  }
  /// Where ports run ahead: asks for what is left of the slot, to its end or to where the
  /// controller goes off or starts; false: all of it has been asked.
  bool ask_ahead(AheadHost& host);
  void take_ahead(const AheadHost& host) {
    port_->take(host.answer(row_), commands());
    life_.answered(*port_);
  }
  RowDraw take_draw() { return supply_.take_draw(); }
  /// Frames that its station sent by `until`, a slot's end; without a radio, all that its
  /// controller gave. Its controller learns their fate.
  std::vector<SentFrame> take_sent(shared::Instant until);
  /// Marks the faults of its storage that have acted.
  void mark_storage_faults() const { sim::bench::mark_storage_faults(scenario_, row_, *port_); }
  const RadioSender* radio() const { return radio_ ? &*radio_ : nullptr; }
  /// Of the pass up to now.
  RowPower power() const;
  /// Since the start: edges that the sensor raised, pulses that the bridge began, liquid out.
  struct SoFar {
    int edges = 0;
    int pulses = 0;
    double liquid_m3 = 0.0;
  };
  SoFar so_far() const;
  measure::RowRecord finish();
  /// Where its recording comes in parts: takes the next one.
  void play_on(const PlayedPart& more);
  /// Row and ground as they stand; the seeds before `edges_x_m` are known.
  RowStretch stretch(const model::Travel& travel, double edges_x_m);
  /// Forgets the first seeds and bands, as long as they lie behind this place.
  void let_go(double behind_x_m);
  const WatchRecord& watched() const { return recorder_.watched(); }
  std::vector<measure::WaveInstant> wave() const { return recorder_.wave(way_); }

 private:
  void turn_bridge(model::RowStepInput& input);
  /// Where the controller's own commands go.
  std::vector<BridgeChange>& commands() {
    return played_ == nullptr ? bridge_.pending() : unheard_;
  }
  const PlayedRow& played_row() const { return played_->rows[static_cast<std::size_t>(row_)]; }
  void play_until(shared::Instant until);
  void state_work(bool first);
  void land(const model::RowStepOutput& out);
  void bend_driver(model::RowStepInput& input) const;
  void turn_meter(const model::RowStepOutput& out);
  double full_flow_m3ps();

  const scenario::Scenario& scenario_;
  int row_;
  RandomStream stream_;
  RowFixed fixed_;
  const Played* played_;
  std::vector<DrivenTime> drives_;  // recorded, and not yet let go
  std::size_t next_played_ = 0;     // twice the drive, and one more once it is on
  std::vector<BridgeChange> unheard_;
  SeedWay way_;
  measure::RowRecord record_;
  std::unique_ptr<ControllerPort> port_;
  ControllerLife life_;
  FrameLink fate_;  // of frames to the machine, as the row's side knows of losses
  std::optional<RadioSender> radio_;
  std::unique_ptr<RowPlant> plant_;
  RowSupply supply_;
  BridgeDrive bridge_;
  BurstRecorder burst_;
  CoilRecorder coil_;
  AirBehind air_;
  JetLanding landing_;
  std::unique_ptr<Ground> ground_;
  RowRecorder recorder_;
  shared::Instant now_{};
  shared::Duration step_{};
  struct Slot {
    shared::Instant start{}, end{};
    shared::Instant ran_from{};  // where the row stood when it began: steps reach beyond slots
    bool asked = false;          // ahead: a question of this slot has been asked
    std::uint32_t digital = 0;   // bits SILLION_INPUT_*
    scenario::PlantSeam seam;
  } slot_;
  model::RowStepOutput last_{};
  int pulses_ = 0;
  double landing_x_m_ = statistics::kNone_ratio;  // of the last step; not-a-number: nothing left
  struct {
    model::FlowMeterState state;
    shared::Instant last_pulse{};
  } meter_;
  struct {
    double pressure_pa = -1.0;
    double flow_m3ps = 0.0;
    double set_ratio = 1.0;
  } full_;  // steady flow that was last solved for a pulse, and its pressure and share of the rate
  struct {
    double stored_at_start_m3 = 0.0;
    double jet_out_m3 = 0.0;
  } balance_;
};

/// The rows of a pass by index. A row holds references into itself, so it must not move.
using RowBenches = std::vector<std::unique_ptr<RowBench>>;

}  // namespace sim::bench
