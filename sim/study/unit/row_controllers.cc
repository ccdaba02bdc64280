#include "sim/study/unit/row_controllers.h"

#include <algorithm>
#include <cstring>

#include "model/machine/speed_signal.h"
#include "sim/bench/controller_library.h"
#include "sim/bench/random.h"
#include "sim/bench/row_config.h"
#include "sim/bench/running_pass.h"
#include "sim/bench/speed_bus.h"
#include "sim/bench/storage_setup.h"
#include "sim/scenario/faults/catalog.h"

namespace sim::unit {
namespace {

constexpr int kRowLane = 0, kMachineLane = 1, kLanes = 2;
constexpr std::uint8_t kMachineSender = 255;
constexpr int kCurrentChannel = 2;

/// Calls the reference directly: it is linked in, so nothing guards the importer's process from it
/// and no handler of a signal is put in its way.
class DirectHost final : public bench::ControllerHost {
 public:
  std::optional<sillion_hardware> describe(std::uint32_t role) override {
    const sillion_hardware* found = library_.describe(role);
    return found == nullptr ? std::nullopt : std::optional(*found);
  }
  bool start(int lane, std::uint32_t memory_bytes, const sillion_config& config,
             bench::Retained retained, std::span<const std::uint8_t> storage) override {
    Lane& own = lanes_[lane];
    const std::vector<std::uint64_t> before =
        retained == bench::Retained::kNone ? std::vector<std::uint64_t>{} : own.memory;
    own.memory.assign((memory_bytes + 7u) / 8u, 0);
    own.controller =
        library_.init(own.memory.data(), memory_bytes, &config,
                      before.empty() ? nullptr : before.data(), before.empty() ? 0 : memory_bytes,
                      storage.empty() ? nullptr : storage.data(), storage.size());
    return own.controller != nullptr;
  }
  void step(std::span<bench::StepCall> calls) override {
    for (bench::StepCall& call : calls) {
      library_.step(lanes_[call.lane].controller, call.input, call.output);
      call.answered = true;
    }
  }
  bool apart() const override { return false; }

 private:
  struct Lane {
    std::vector<std::uint64_t> memory;
    sillion_controller* controller = nullptr;
  };
  bench::ControllerLibrary library_ = bench::reference_controller();
  Lane lanes_[kLanes];
};

bench::StorageSetup storage_of(const UnitContents& contents, int row) {
  return bench::storage_setup(contents.scenario, row, 0);
}

/// The row is switched on and the machine in run: only the height of the planter is an input.
std::uint32_t digital_of(const UnitInputs& inputs) {
  const std::uint32_t lowered = inputs.lowered ? SILLION_INPUT_LOWERED : 0;
  return lowered | SILLION_INPUT_ROW_ENABLED | SILLION_INPUT_RUN;
}

/// Every call that is due before `until`, and what a controller's life brings in between.
void run_port(bench::ControllerHost& host, bench::ControllerPort& port, bench::ControllerLife& life,
              shared::Instant until, const bench::PlantView& plant,
              std::vector<bench::BridgeChange>& changes) {
  while (true) {
    while (port.call_due(std::min(until, life.next()), plant, changes)) {
      bench::StepCall due = port.call();
      host.step({&due, 1});
      port.take(due, changes);
      life.answered(port);
    }
    if (life.next() >= until) return;
    life.act(port, changes);
  }
}

}  // namespace

RowControllers::RowControllers(const UnitContents& contents, const bench::RowFixed& fixed)
    : contents_(contents),
      host_(std::make_unique<DirectHost>()),
      row_(*host_, kRowLane,
           bench::row_config(contents.scenario, contents.row, contents.table, contents.trim_um),
           {fixed.clock_drift_ratio, contents.scenario.clock.start_before_wrap_s}, {},
           storage_of(contents, contents.row)),
      machine_(*host_, kMachineLane, bench::machine_config(contents.scenario, contents.table),
               {.start_before_wrap_s = contents.scenario.clock.start_before_wrap_s}, {},
               storage_of(contents, scenario::kMachine)),
      row_life_(contents.scenario, contents.row),
      machine_life_(contents.scenario, scenario::kMachine),
      burst_(bench::burst_recorder(
          *host_, fixed.clock_drift_ratio,
          bench::row_config(contents.scenario, contents.row, contents.table, contents.trim_um)
              .analog_full_scale[kCurrentChannel])),
      pwm_period_(bench::pwm_period(*host_, fixed.clock_drift_ratio)) {}

void RowControllers::edge(shared::Instant at, bool covered) {
  bench::AheadQuestion question{};  // as a port beside its controller is given what comes in
  question.edges = 1;
  question.edge_at[0] = at;
  question.edge_rising[0] = covered ? 1 : 0;
  row_.give(question);
}

void RowControllers::begin_slot(shared::Instant start, const UnitInputs& inputs) {
  if (began_) {
    const std::vector<bench::SentFrame> sent = row_.take_sent();
    row_.transmitted(static_cast<std::uint32_t>(sent.size()), 0);
    for (bench::SentFrame one : sent) {
      one.frame.sender = static_cast<std::uint8_t>(contents_.row);
      machine_.receive(one.frame, start);
    }
  }
  began_ = true;
  for (const bench::SentFrame& one : to_row_) row_.receive(one.frame, start);
  row_.hand_over(burst_.take());
  run_machine(start, inputs);
}

/// The machine's slot, from its bus frames to the frames for the row.
void RowControllers::run_machine(shared::Instant start, const UnitInputs& inputs) {
  const scenario::NoiseSection& noise = contents_.scenario.noise;
  const shared::Instant end = start + bench::kSlot;
  const model::SpeedSignal signal =
      model::make_speed_signal(model::make_travel({{.speed_mps = inputs.ground_speed_mps}}),
                               {.lag_s = 0.0,
                                .period_s = noise.speed_period_s,
                                .speed_noise_mps = 0.0,
                                .speed_quantum_mps = noise.speed_quantum_mps});
  const bench::RandomStream silent{.rng_key = contents_.scenario.rng_key};
  for (; static_cast<double>(next_sample_) * noise.speed_period_s < end.seconds(); ++next_sample_) {
    const double at_s = static_cast<double>(next_sample_) * noise.speed_period_s;
    const shared::Instant at = std::max(start, shared::instant_of(at_s));
    for (const sillion_frame& frame : bench::bus_frames(signal, next_sample_, silent))
      machine_.receive(frame, at);
  }
  const bench::PlantView view{.pressure_pa = inputs.supply_pressure_pa,
                              .supply_voltage_v = contents_.scenario.supply.voltage_v,
                              .digital = digital_of(inputs)};
  std::vector<bench::BridgeChange> no_bridge;  // the machine's controller has no valve
  run_port(*host_, machine_, machine_life_, end, view, no_bridge);
  to_row_ = machine_.take_sent();
  machine_.transmitted(static_cast<std::uint32_t>(to_row_.size()), 0);
  for (bench::SentFrame& one : to_row_) one.frame.sender = kMachineSender;
}

void RowControllers::run_until(shared::Instant until, const UnitInputs& inputs,
                               bench::PlantView plant, std::vector<bench::BridgeChange>& changes) {
  plant.digital = digital_of(inputs);
  if (row_.busy_before(until) || row_life_.next() < until)
    run_port(*host_, row_, row_life_, until, plant, changes);
}

void RowControllers::report(UnitOutputs& outputs) {
  for (const bench::TimedEvent& event : row_.take_events()) {
    if (event.record.code == SILLION_EVENT_SAFE_CLOSED) outputs.safe_closed = true;
    if (event.record.code == SILLION_EVENT_SAFE_OVER) outputs.safe_closed = false;
    if (event.record.code == SILLION_EVENT_ALARM) outputs.last_alarm = event.record.a;
  }
  machine_.take_events();
  outputs.pressure_setpoint_pa = machine_.pressure_setpoint_given()
                                     ? machine_.pressure_setpoint_pa()
                                     : contents_.scenario.supply.pressure_min_pa;
}

}  // namespace sim::unit
