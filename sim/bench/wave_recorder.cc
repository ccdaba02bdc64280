#include "sim/bench/wave_recorder.h"

#include <algorithm>
#include <functional>

namespace sim::bench {
namespace {

void show(const sillion_bridge_command& command, measure::WaveInstant& now) {
  now.drive = command.state == SILLION_BRIDGE_DRIVE;
  now.fast_decay = command.state == SILLION_BRIDGE_FAST_DECAY;
  now.reverse = command.state == SILLION_BRIDGE_REVERSE;
  now.valve_commanded = now.drive && command.duty_q15 > 0;
}

/// The plant's share of an instant; wires of sensor and controller stay as they are.
void show(const measure::WaveInstant& step, measure::WaveInstant& now) {
  measure::WaveInstant merged = step;
  merged.covered = now.covered;
  merged.drive = now.drive;
  merged.fast_decay = now.fast_decay;
  merged.reverse = now.reverse;
  merged.valve_commanded = now.valve_commanded;
  now = merged;
}

struct Change {
  shared::Instant at{};
  std::function<void(measure::WaveInstant&)> apply;
};

}  // namespace

void WaveRecorder::bridge(shared::Instant at, const sillion_bridge_command& command) {
  if (at < from_)
    before_ = command;
  else if (within(at))
    bridges_.push_back({at, command});
}

void WaveRecorder::step(const WaveStep& step, const model::RowStepOutput& out) {
  if (!within(step.end)) return;
  measure::WaveInstant now;
  now.at = step.end;
  now.lowered = step.lowered;
  now.supply_voltage_v = step.supply_voltage_v;
  now.supply_pressure_pa = step.supply_pressure_pa;
  now.current_a = out.current_a;
  now.lift_m = out.lift_m;
  now.hose_end_pressure_pa = out.hose_end_pressure_pa;
  now.valve_exit_pressure_pa = out.valve_exit_pressure_pa;
  now.outlet_pressure_pa = out.outlet_pressure_pa;
  now.valve_flow_m3ps = out.valve_flow_m3ps;
  now.outlet_flow_m3ps = out.outlet_flow_m3ps;
  now.landing_x_ground_m = step.landing_x_ground_m;
  steps_.push_back(now);
}

std::vector<measure::WaveInstant> WaveRecorder::instants(
    const std::vector<EdgePair>& edges, const std::vector<TimedEvent>& events) const {
  if (steps_.empty()) return {};
  measure::WaveInstant now = steps_.front();
  now.at = from_;
  show(before_, now);
  std::vector<Change> changes;
  for (const measure::WaveInstant& step : steps_)
    changes.push_back({step.at, [&step](measure::WaveInstant& at) { show(step, at); }});
  for (const Bridge& bridge : bridges_)
    changes.push_back(
        {bridge.at, [&bridge](measure::WaveInstant& at) { show(bridge.command, at); }});
  for (const EdgePair& pair : edges) {
    const shared::Instant rising = shared::instant_of(pair.rising_s);
    const shared::Instant falling = shared::instant_of(pair.falling_s);
    now.covered = now.covered || (rising < from_ && from_ < falling);
    if (within(rising))
      changes.push_back({rising, [](measure::WaveInstant& at) { at.covered = true; }});
    if (within(falling))
      changes.push_back({falling, [](measure::WaveInstant& at) { at.covered = false; }});
  }
  for (const TimedEvent& event : events)
    if (within(event.at))
      changes.push_back({event.at, [](measure::WaveInstant& at) { at.event = true; }});
  std::stable_sort(changes.begin(), changes.end(),
                   [](const Change& a, const Change& b) { return a.at < b.at; });
  std::vector<measure::WaveInstant> told{now};
  for (const Change& change : changes) {
    now.event = false;
    change.apply(now);
    now.at = change.at;
    told.push_back(now);
  }
  return told;
}

}  // namespace sim::bench
