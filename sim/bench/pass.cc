// One pass, in the order of one seed's way:
//   [1] meter, [2] sensor edge, [3] delivery   sim/bench/seed_way: laid out once, nothing that the
//                                              controller does changes it
//   [4] controller plans a pulse               sim/bench/controller_port
//   [5] valve drive, [6] plunger, [7] column   sim/bench/row_bench over model/row_unit
//   [8] jet and deposit                        sim/bench/ground
//   [9] bands against seeds                    sim/measure/placement, by whoever reads the record
//
// Time: machine and rows meet at slots of 10 ms. Inside a slot every row runs alone, from event to
// event; at its end frames are handed over in order of rows and the regulator moves on. So rows may
// run on any number of threads. Where rows share a manifold or a harness, these move at exchange
// steps of 1 ms inside the slot (sim/bench/supply_exchange.h); frames keep to the slots.
//
//   until all seeds rest and the last band lies:
//     machine controller's interrupts of this slot, with the bus frames of this slot
//     every row: until slot end:  next = earliest of {compare, edge, frame, tick} ->
//                                 shares of a step -> step -> ground
//     frames of machine -> rows, frames of rows -> machine, set point -> regulator
#include "sim/bench/pass.h"

#include <fmt/format.h>
#include <oneapi/tbb/parallel_for.h>

#include <algorithm>
#include <cmath>
#include <deque>
#include <exception>
#include <memory>
#include <utility>

#include "model/machine/speed_signal.h"
#include "sim/bench/frame_link.h"
#include "sim/bench/row_bench.h"
#include "sim/bench/row_config.h"
#include "sim/bench/speed_bus.h"
#include "sim/bench/travel_of.h"
#include "sim/bench/work_inputs.h"
#include "sim/scenario/faults/catalog.h"

namespace sim {
namespace {

constexpr shared::Duration kSlot = shared::milliseconds(10);
/// After the last seed rests its band is laid and the column comes to rest.
constexpr double kRunOut_s = 0.5;
constexpr std::uint8_t kMachineSender = 255;

struct MachineBench {
  std::unique_ptr<ControllerHost> host;  // of the rows' controllers too
  ControllerPort port;
  int lane = 0;
  ControllerLife life;
  model::SpeedSignal signal;
  RandomStream stream;
  long long next_sample = 0;
  RegulatorState regulator;
  SupplyExchange exchange;
  std::vector<FrameLink> links;          // of every row
  std::vector<sillion_frame> last_said;  // on the bus, while no fault bent it

  double sample_s() const { return static_cast<double>(next_sample) * signal.params.period_s; }

  /// The machine controller's slot begins: its bus frames come in, and it sees the supply as it
  /// stands at the start.
  void begin_slot(const Scenario& scenario, shared::Instant start, shared::Instant end) {
    while (sample_s() < end.seconds()) {
      const shared::Instant at = std::max(start, shared::instant_of(sample_s()));
      if (!plant_at(scenario, -1, at.seconds()).speed_lost)
        for (const sillion_frame& frame : bent_frames(bus_frames(signal, next_sample, stream),
                                                      bus_at(scenario, at.seconds()), last_said))
          port.receive(frame, at);
      ++next_sample;
    }
    slot_end = end;
    no_bridge.clear();
    view = {.pressure_pa = regulator.pressure_pa,
            .supply_voltage_v = scenario.supply.voltage_v,
            .digital = machine_inputs(scenario, start.seconds())};
  }
  /// Whether a call is due before the slot ends; it has no valve, so nothing comes of its bridge.
  bool go_on() {
    while (!port.call_due(std::min(slot_end, life.next()), view, no_bridge)) {
      if (life.next() >= slot_end) return false;
      life.act(port, no_bridge);
    }
    return true;
  }
  StepCall call() { return port.call(); }
  void take(const StepCall& answered) {
    port.take(answered, no_bridge);
    life.answered(port);
  }
  /// Ahead: as RowBench's.
  bool ask_ahead(AheadHost& ahead, shared::Instant start) {
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
  void take_ahead(const AheadHost& ahead) {
    port.take(ahead.answer(lane), no_bridge);
    life.answered(port);
  }
  /// What it sent to the rows.
  std::vector<sillion_frame> take_sent() {
    std::vector<sillion_frame> sent = port.take_sent();
    for (sillion_frame& frame : sent) frame.sender = kMachineSender;
    return sent;
  }

  shared::Instant slot_end{};
  PlantView view;
  std::vector<BridgeChange> no_bridge;
};

model::SpeedSignal signal_of(const Scenario& scenario, const model::Travel& travel) {
  const NoiseSection& noise = scenario.noise;
  model::SpeedSignalParams params;
  params.lag_s = noise.speed_lag_s;
  params.period_s = noise.speed_period_s;
  params.speed_noise_mps = noise.speed_noise_mps;
  params.speed_quantum_mps = noise.speed_quantum_mps;
  return model::make_speed_signal(travel, params);
}

/// A sensed seed near the row's middle with room on both sides, so that its pulse stands alone.
int typical_seed(const SeedWay& way, double spacing_m) {
  const auto& seeds = way.seeds;
  for (std::size_t k = seeds.size() / 2; k > 0 && k + 1 < seeds.size(); ++k) {
    const double before_m = seeds[k].rest_x_ground_m - seeds[k - 1].rest_x_ground_m;
    const double after_m = seeds[k + 1].rest_x_ground_m - seeds[k].rest_x_ground_m;
    if (seeds[k].sensed && before_m > 0.8 * spacing_m && after_m > 0.8 * spacing_m)
      return static_cast<int>(k);
  }
  return seeds.empty() ? -1 : static_cast<int>(seeds.size() / 2);
}

const char* event_words(std::uint32_t code) {
  switch (code) {
    case SILLION_EVENT_QUEUE_OVERFLOW: return "queue overflow";
    case SILLION_EVENT_SPEED_STALE: return "speed too old";
    case SILLION_EVENT_SPEED_BACK: return "speed back";
    case SILLION_EVENT_LATE_FIRING: return "late firing";
    case SILLION_EVENT_EDGE_REJECTED: return "edge rejected";
    case SILLION_EVENT_MERGED: return "merged with the band before";
    case SILLION_EVENT_NOT_RESOLVABLE: return "bands cannot be told apart";
    case SILLION_EVENT_TABLE_SIMULATED: return "delay table rests on simulation only";
    case SILLION_EVENT_RATE_OUT_OF_RANGE: return "rate out of range";
    case SILLION_EVENT_BAD_FRAME: return "bad frame";
    case SILLION_EVENT_NEGATIVE_DELAY: return "negative delay";
    default: return "event";
  }
}

/// The seed that is watched, or row -1 where there is none to watch; tells its row.
Watch start_watching(const Scenario& scenario, const Watch& asked, bool wave,
                     std::deque<RowBench>& rows) {
  Watch watch = asked;
  if (watch.row < 0 || watch.row >= static_cast<int>(rows.size())) return {};
  RowBench& row = rows[static_cast<std::size_t>(watch.row)];
  if (watch.seed == kWatchTypical)
    watch.seed = typical_seed(row.way(), scenario.seeding.meter.spacing_m);
  if (watch.seed < 0 || watch.seed >= static_cast<int>(row.way().seeds.size())) return {};
  row.watch(watch.seed, wave);
  return watch;
}

struct Span {
  shared::Instant from{};
  shared::Instant to{};
};

/// Runs one controller's part to its end, asking in this process.
template <typename Part>
void run_alone(ControllerHost& host, Part& part) {
  while (part.go_on()) {
    StepCall due = part.call();
    host.step({&due, 1});
    part.take(due);
  }
}

/// What failed, by lane: rows by index, then the machine's controller.
using Failures = std::vector<std::exception_ptr>;

template <typename Body>
void guarded(Failures& failed, std::size_t lane, const Body& body) {
  try {
    body();
  } catch (...) {
    failed[lane] = std::current_exception();
  }
}

bool any(const Failures& failed) {
  return std::any_of(failed.begin(), failed.end(), [](const auto& one) { return one != nullptr; });
}

/// Every row alone, on any thread.
void run_rows_here(ControllerHost& host, std::deque<RowBench>& rows, Failures& failed) {
  oneapi::tbb::parallel_for(std::size_t{0}, rows.size(), [&](std::size_t row) {
    guarded(failed, row, [&] { run_alone(host, rows[row]); });
  });
}

/// Controllers in a process of their own are asked in rounds, all that have come to a call
/// together:
/// a change of process costs as much as a dozen calls. The machine's goes along in a slot's first
/// piece; it depends on nothing that the rows do in that slot.
void run_rows_apart(MachineBench& machine, std::deque<RowBench>& rows, bool with_machine,
                    Failures& failed) {
  std::vector<char> runs(rows.size(), 1);
  bool machine_runs = with_machine;
  std::vector<StepCall> round;
  while (true) {
    oneapi::tbb::parallel_for(std::size_t{0}, rows.size(), [&](std::size_t row) {
      if (runs[row] == 0) return;
      runs[row] = 0;
      guarded(failed, row, [&] { runs[row] = rows[row].go_on() ? 1 : 0; });
    });
    round.clear();
    guarded(failed, rows.size(), [&] { machine_runs = machine_runs && machine.go_on(); });
    if (machine_runs) round.push_back(machine.call());
    for (std::size_t row = 0; row < rows.size(); ++row)
      if (runs[row] != 0) round.push_back(rows[row].call());
    if (round.empty() || any(failed)) return;
    machine.host->step(round);
    for (const StepCall& one : round) {
      const auto lane = static_cast<std::size_t>(one.lane);
      if (!one.answered && one.fault.empty()) continue;  // behind the one that failed
      guarded(failed, lane, [&] { lane < rows.size() ? rows[lane].take(one) : machine.take(one); });
    }
    if (any(failed)) return;
  }
}

/// Ports that live with their controllers run a slot ahead of the plant, all of them in one
/// question
/// unless a controller goes off or starts in it; then the rows move through the slot.
void run_rows_ahead(MachineBench& machine, std::deque<RowBench>& rows, shared::Instant start,
                    Failures& failed) {
  AheadHost& ahead = *machine.host->ahead();
  std::vector<int> lanes;
  while (true) {
    lanes.clear();
    if (machine.ask_ahead(ahead, start)) lanes.push_back(machine.lane);
    for (int row = 0; row < machine.lane; ++row)
      if (rows[static_cast<std::size_t>(row)].ask_ahead(ahead)) lanes.push_back(row);
    if (lanes.empty()) break;
    ahead.run(lanes);
    for (const int lane : lanes) {
      if (lane == machine.lane)
        machine.take_ahead(ahead);
      else
        rows[static_cast<std::size_t>(lane)].take_ahead(ahead);
    }
  }
  oneapi::tbb::parallel_for(std::size_t{0}, rows.size(), [&](std::size_t row) {
    guarded(failed, row, [&] { rows[row].go_on(); });
  });
}

/// The rows' slot: one piece where they share nothing, else in exchange steps between which the
/// supply moves. Draws are summed in order of rows, whatever thread ran them. Of several that fail
/// in
/// one piece the machine's controller is told, else the first row by index.
void run_slot_pieces(const Scenario& scenario, MachineBench& machine, std::deque<RowBench>& rows,
                     const std::vector<sillion_frame>& to_rows, const Span& slot) {
  const bool apart = machine.host->apart();
  const int steps = machine.exchange.steps_a_slot(slot.to - slot.from);
  std::vector<RowDraw> draws(rows.size());
  Failures failed(rows.size() + 1);
  if (!apart) run_alone(*machine.host, machine);
  for (int k = 0; k < steps; ++k) {
    const shared::Instant from = slot.from + shared::Duration{(slot.to - slot.from).ns * k / steps};
    const shared::Instant to =
        slot.from + shared::Duration{(slot.to - slot.from).ns * (k + 1) / steps};
    const double step_s = (to - from).seconds();
    const SharedSupply met = machine.exchange.plan(machine.regulator, step_s);
    for (std::size_t row = 0; row < rows.size(); ++row) {
      if (k == 0) rows[row].receive(machine.links[row].to_row(to_rows, from), from);
      rows[row].begin_slot(from, to, met,
                           row_inputs(scenario, static_cast<int>(row), slot.from.seconds()));
    }
    if (machine.host->ahead() != nullptr)
      run_rows_ahead(machine, rows, from, failed);
    else if (apart)
      run_rows_apart(machine, rows, k == 0, failed);
    else
      run_rows_here(*machine.host, rows, failed);
    if (failed.back()) std::rethrow_exception(failed.back());
    for (const std::exception_ptr& error : failed)
      if (error) std::rethrow_exception(error);
    for (std::size_t row = 0; row < rows.size(); ++row) draws[row] = rows[row].take_draw();
    machine.exchange.book(draws, step_s, machine.regulator);
  }
}

/// One slot of machine and rows; `to_rows` are the machine's frames of the slot before and then of
/// this one.
void run_slot(const Scenario& scenario, MachineBench& machine, std::deque<RowBench>& rows,
              std::vector<sillion_frame>& to_rows, shared::Instant start) {
  const shared::Instant end = start + kSlot;
  machine.begin_slot(scenario, start, end);
  run_slot_pieces(scenario, machine, rows, to_rows, {start, end});
  to_rows = machine.take_sent();
  for (std::size_t row = 0; row < rows.size(); ++row)
    for (sillion_frame frame : machine.links[row].to_machine(rows[row].take_sent(), end)) {
      frame.sender = static_cast<std::uint8_t>(row);
      machine.port.receive(frame, end);
    }
  if (machine.port.pressure_setpoint_given())
    machine.regulator.setpoint_pa = machine.port.pressure_setpoint_pa();
  const double manifold_pa = machine.regulator.pressure_pa;
  advance_regulator(machine.regulator, scenario.supply, kSlot.seconds());
  if (scenario.supply.manifold.pump_m3ps > 0.0) machine.regulator.pressure_pa = manifold_pa;
}

void keep_watched(const RowBench& row, const Watch& watch, PassRecord& record) {
  const WatchRecord& watched = row.watched();
  record.watched = watch;
  record.watched_delivery_s = row.way().delivery_s[static_cast<std::size_t>(watch.seed)];
  record.history = watched.history;
  record.wave = row.wave();
  for (const TimedEvent& event : watched.events)
    if (event.at.seconds() >= watched.from_s && event.at.seconds() <= watched.until_s)
      record.steps.push_back({event.at.seconds(), "controller",
                              fmt::format("{} ({}, {})", event_words(event.record.code),
                                          event.record.a, event.record.b)});
}

void write_down_calls(MachineBench& machine, std::deque<RowBench>& rows,
                      std::vector<CallLog>* calls) {
  if (calls == nullptr) return;
  calls->resize(rows.size() + 1);
  for (std::size_t row = 0; row < rows.size(); ++row) rows[row].write_down((*calls)[row]);
  machine.port.write_down(calls->back());
}

std::vector<FrameLink> links_of(const Scenario& scenario, std::uint32_t pass) {
  std::vector<FrameLink> links;
  for (int row = 0; row < scenario.row.count; ++row)
    links.emplace_back(scenario, row,
                       RandomStream{scenario.rng_key, static_cast<std::uint32_t>(row), pass});
  return links;
}

/// Whether a slot's inputs are known before the controllers act in it (slot_ahead.h).
bool sees_nothing_of_itself(const Scenario& scenario, ControllerHost& host) {
  const SupplySection& supply = scenario.supply;
  if (supply.manifold.pump_m3ps > 0.0 || supply.harness_ohm > 0.0 || supply.row_harness_ohm > 0.0 ||
      scenario.flow_meter.pulses_per_m3 > 0.0 || hides_kicks(scenario))
    return false;
  constexpr std::uint32_t kCurrentChannel = 2;
  const std::optional<sillion_hardware> row = host.describe(SILLION_ROLE_ROW);
  return scenario.row.physics == RowPhysics::kIdeal ||
         (row && row->analog_channels <= kCurrentChannel);
}

std::unique_ptr<ControllerHost> host_of(const Scenario& scenario, bool calls_are_kept) {
  try {
    auto host = make_host(scenario.controller.library, scenario.row.count + 1);
    if (host->apart() && !calls_are_kept && sees_nothing_of_itself(scenario, *host))
      host->go_ahead();
    return host;
  } catch (const HostFault& error) {
    throw ControllerError(error.what());
  }
}

MachineBench make_machine(const Scenario& scenario, const sillion_attachment_table& table,
                          const model::Travel& travel, std::uint32_t pass, bool calls_are_kept) {
  const double start_pa = scenario.supply.pressure_min_pa;
  std::unique_ptr<ControllerHost> host = host_of(scenario, calls_are_kept);
  ControllerPort port(*host, scenario.row.count, machine_config(scenario, table),
                      {.start_before_wrap_s = scenario.clock.start_before_wrap_s}, {});
  return {.host = std::move(host),
          .port = std::move(port),
          .lane = scenario.row.count,
          .life = {scenario, kMachine},
          .signal = signal_of(scenario, travel),
          .stream = {.rng_key = scenario.rng_key, .row = 0, .pass = pass},
          .regulator = {.setpoint_pa = start_pa, .pressure_pa = start_pa},
          .exchange = SupplyExchange(scenario),
          .links = links_of(scenario, pass),
          .last_said = {}};
}

}  // namespace

PassRecord run_pass(const Scenario& scenario, const sillion_attachment_table& table,
                    const std::vector<int>& trim_um, const PassOptions& options) {
  const model::Travel travel = travel_of(scenario);
  MachineBench machine =
      make_machine(scenario, table, travel, options.pass, options.calls != nullptr);
  std::deque<RowBench> rows;  // each row holds references into itself: it must not move
  double end_s = scenario.duration_s;
  for (int row = 0; row < scenario.row.count; ++row) {
    const auto index = static_cast<std::size_t>(row);
    rows.emplace_back(scenario, travel, row, options.pass, table,
                      index < trim_um.size() ? trim_um[index] : 0, *machine.host);
    end_s = std::max(end_s, rows.back().way().last_rest_s);
  }
  end_s += kRunOut_s;
  const Watch watch = start_watching(scenario, options.watch, options.wave, rows);

  PassRecord record;
  write_down_calls(machine, rows, options.calls);
  try {
    std::vector<sillion_frame> to_rows;
    for (shared::Instant start{}; start.seconds() < end_s; start = start + kSlot) {
      if (options.stop != nullptr && options.stop->load(std::memory_order_relaxed))
        throw Interrupted("interrupted");
      run_slot(scenario, machine, rows, to_rows, start);
      record.simulated_s += kSlot.seconds() * static_cast<double>(rows.size());
      if (options.on_progress) options.on_progress((start + kSlot).seconds() / end_s);
    }
  } catch (const ControllerError& error) {
    if (!options.keep_fault) throw;
    record.fault = {error.row, error.at_s, error.what()};
  }
  record.manifold = machine.exchange.manifold();
  record.rows.reserve(rows.size());
  for (RowBench& row : rows) record.rows.push_back(row.finish());
  if (watch.row >= 0) keep_watched(rows[static_cast<std::size_t>(watch.row)], watch, record);
  return record;
}

}  // namespace sim
