#include "sim/bench/machine_bench.h"

#include <algorithm>
#include <optional>
#include <utility>

#include "sim/bench/pass.h"
#include "sim/bench/row_config.h"
#include "sim/bench/speed_bus.h"
#include "sim/bench/storage_setup.h"
#include "sim/bench/work_inputs.h"
#include "sim/scenario/faults/catalog.h"

namespace sim::bench {
namespace {

constexpr std::uint8_t kMachineSender = 255;

model::SpeedSignal signal_of(const scenario::Scenario& scenario, const model::Travel& travel) {
  const scenario::NoiseSection& noise = scenario.noise;
  model::SpeedSignalParams params;
  params.lag_s = noise.speed_lag_s;
  params.period_s = noise.speed_period_s;
  params.speed_noise_mps = noise.speed_noise_mps;
  params.speed_quantum_mps = noise.speed_quantum_mps;
  return model::make_speed_signal(travel, params);
}

std::vector<RowLink> links_of(const scenario::Scenario& scenario, std::uint32_t pass) {
  std::vector<RowLink> links;
  for (int row = 0; row < scenario.row.count; ++row)
    links.emplace_back(scenario, row,
                       RandomStream{scenario.rng_key, static_cast<std::uint32_t>(row), pass});
  return links;
}

std::vector<FrameLink> fates_of(const scenario::Scenario& scenario, std::uint32_t pass) {
  std::vector<FrameLink> fates;
  for (int row = 0; row < scenario.row.count; ++row)
    fates.emplace_back(scenario, row,
                       RandomStream{scenario.rng_key, static_cast<std::uint32_t>(row), pass});
  return fates;
}

/// Whether a slot's inputs are known before the controllers act in it (slot_ahead.h).
bool sees_nothing_of_itself(const scenario::Scenario& scenario, ControllerHost& host) {
  const scenario::SupplySection& supply = scenario.supply;
  if (supply.manifold.pump_m3ps > 0.0 || supply.harness_ohm > 0.0 || supply.row_harness_ohm > 0.0 ||
      scenario.flow_meter.pulses_per_m3 > 0.0 || hides_kicks(scenario) || states_storage(scenario))
    return false;
  constexpr std::uint32_t kCurrentChannel = 2;
  const std::optional<sillion_hardware> row = host.describe(SILLION_ROLE_ROW);
  return scenario.row.physics == scenario::RowPhysics::kIdeal ||
         (row && row->analog_channels <= kCurrentChannel);
}

std::unique_ptr<ControllerHost> host_of(const scenario::Scenario& scenario, bool calls_are_kept) {
  try {
    auto host = make_host(scenario.controller.library, scenario.row.count + 1);
    if (host->apart() && !calls_are_kept && sees_nothing_of_itself(scenario, *host))
      host->go_ahead();
    return host;
  } catch (const HostFault& error) {
    throw ControllerError(error.what());
  }
}

}  // namespace

void MachineBench::begin_slot(const scenario::Scenario& scenario, shared::Instant start,
                              shared::Instant end) {
  // Rate and speed reach the machine at their own instants, or over the bus in the cab.
  const auto bring_rates = [&](double until_s) {
    while (rates.next_s() <= until_s && rates.next_s() < end.seconds()) {
      const shared::Instant at = std::max(start, shared::instant_of(rates.next_s()));
      const sillion_frame frame = rates.take(scenario);
      cab ? cab->offer(frame, at) : port.receive(frame, at);
    }
  };
  while (sample_s() < end.seconds()) {
    bring_rates(sample_s());
    const shared::Instant at = std::max(start, shared::instant_of(sample_s()));
    if (!scenario::plant_at(scenario, -1, at.seconds()).speed_lost)
      for (const sillion_frame& frame :
           bent_frames(bus_frames(signal, next_sample, stream),
                       scenario::bus_at(scenario, at.seconds()), last_said))
        cab ? cab->offer(frame, at) : port.receive(frame, at);
    ++next_sample;
  }
  bring_rates(end.seconds());
  if (cab)
    for (const SentFrame& one : cab->run(scenario::cab_at(scenario, start.seconds()), end))
      port.receive(one.frame, one.left);
  slot_end = end;
  no_bridge.clear();
  view = {.pressure_pa = regulator.pressure_pa,
          .supply_voltage_v = scenario.supply.voltage_v,
          .digital = machine_inputs(scenario, start.seconds())};
}

bool MachineBench::go_on() {
  while (!port.call_due(std::min(slot_end, life.next()), view, no_bridge)) {
    if (life.next() >= slot_end) return false;
    life.act(port, no_bridge);
  }
  return true;
}

bool MachineBench::ask_ahead(AheadHost& ahead, shared::Instant start) {
  while (life.next() <= port.asked_until() && life.next() < slot_end) life.act(port, no_bridge);
  if (port.asked_until() >= slot_end) return false;
  AheadQuestion& question = ahead.question(lane);
  question.fresh = port.asked_until() <= start ? 1 : 0;
  question.from = start;
  question.step = slot_end - start;
  question.supply = SupplyLine::steady(view.pressure_pa, view.supply_voltage_v);
  question.digital = view.digital;
  port.ask(std::min(slot_end, life.next()), question);
  return true;
}

std::vector<SentFrame> MachineBench::take_sent(shared::Instant until) {
  std::vector<SentFrame> sent = port.take_sent();
  for (SentFrame& one : sent) one.frame.sender = kMachineSender;
  if (radio) {
    sent = radio->run(sent, until);
    const Transmitted done = radio->take_done();
    port.transmitted(done.ok, done.failed);
    return sent;
  }
  std::uint32_t failed = 0;
  for (std::size_t k = 0; k < sent.size(); ++k) {
    // A bus acknowledges once any receiver has the frame.
    std::size_t lost = 0;
    if (acknowledged)
      for (FrameLink& fate : fates) lost += fate.lost_to_row(until) ? 1 : 0;
    failed += acknowledged && lost == fates.size() ? 1 : 0;
  }
  port.transmitted(static_cast<std::uint32_t>(sent.size()) - failed, failed);
  return sent;
}

void MachineBench::hear(std::size_t row, const std::vector<SentFrame>& sent, shared::Instant at) {
  for (sillion_frame frame : links[row].to_machine(sent, at)) {
    frame.sender = static_cast<std::uint8_t>(row);
    port.receive(frame, at);
  }
}

void MachineBench::move_regulator(const scenario::Scenario& scenario, double slot_s) {
  const scenario::SupplySeam seam = scenario::supply_at(scenario, slot_end.seconds());
  if (port.pressure_setpoint_given() && !seam.stuck)
    regulator.setpoint_pa = port.pressure_setpoint_pa() * seam.setpoint_ratio;
  const double manifold_pa = regulator.pressure_pa;
  advance_regulator(regulator, scenario.supply, slot_s);
  if (scenario.supply.manifold.pump_m3ps > 0.0) regulator.pressure_pa = manifold_pa;
}

MachineBench make_machine(const scenario::Scenario& scenario, const sillion_attachment_table& table,
                          const model::Travel& travel, std::uint32_t pass, bool calls_are_kept) {
  const double start_pa = scenario.supply.pressure_min_pa;
  std::unique_ptr<ControllerHost> host = host_of(scenario, calls_are_kept);
  ControllerPort port(*host, scenario.row.count, machine_config(scenario, table),
                      {.start_before_wrap_s = scenario.clock.start_before_wrap_s}, {},
                      storage_setup(scenario, scenario::kMachine, pass));
  const RandomStream stream{.rng_key = scenario.rng_key, .row = 0, .pass = pass};
  const scenario::NetworkSection& network = scenario.network;
  MachineBench made{.host = std::move(host),
                    .port = std::move(port),
                    .lane = scenario.row.count,
                    .life = {scenario, scenario::kMachine},
                    .signal = signal_of(scenario, travel),
                    .stream = stream,
                    .rates = RateBus(scenario),
                    .regulator = {.setpoint_pa = start_pa, .pressure_pa = start_pa},
                    .exchange = SupplyExchange(scenario),
                    .links = links_of(scenario, pass),
                    .fates = fates_of(scenario, pass),
                    .acknowledged = network.acknowledged,
                    .last_said = {},
                    .radio = {},
                    .cab = {}};
  if (network.radio.period_s > 0.0) made.radio.emplace(network.radio, 0);
  if (network.cab.simulated) made.cab.emplace(network.cab, stream);
  return made;
}

}  // namespace sim::bench
