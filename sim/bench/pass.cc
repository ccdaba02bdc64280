// One pass, in the order of one seed's way:
//   [1] meter, [2] sensor edge, [3] delivery   sim/bench/seed_way: laid out once, nothing that the
//                                              controller does changes it
//   [4] controller plans a pulse               sim/bench/controller_port
//   [5] valve drive                            sim/bench/bridge_drive
//   [6] plunger, [7] column                    sim/bench/row_plant over model/row/row_unit
//   [8] jet and deposit                        sim/bench/jet_landing, sim/bench/ground
//   [9] bands against seeds                    sim/measure/placement, by whoever reads the record
//
// Time: machine and rows meet at slots of 10 ms. Inside a slot every row runs for itself, from
// event to event; at its end frames are handed over in order of rows and the regulator moves on. So
// rows may run on any number of threads (sim/bench/slot_crew.h; slot_pieces.h where controllers run
// apart), and side by side in lanes (row_team.h), also with those of other passes (pass_company.h).
// Where rows share a manifold or a harness, these
// move at exchange steps of 1 ms inside the slot (sim/bench/supply_exchange.h); frames keep to the
// slots.
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
#include <exception>
#include <memory>
#include <utility>

#include "sim/bench/line_form.h"
#include "sim/bench/machine_bench.h"
#include "sim/bench/played.h"
#include "sim/bench/row_bench.h"
#include "sim/bench/running_pass.h"
#include "sim/bench/signal_events.h"
#include "sim/bench/slot_crew.h"
#include "sim/bench/slot_pieces.h"
#include "sim/bench/travel_of.h"

namespace sim::bench {
namespace {

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
    case SILLION_EVENT_CONFIG_BAD_COPY: return "a copy of the stored configuration is bad";
    case SILLION_EVENT_CONFIG_LOST: return "the stored configuration is lost";
    case SILLION_EVENT_CONFIG_REPLACED: return "the configuration was replaced";
    case SILLION_EVENT_STORAGE_FAILED: return "a page does not hold what was written";
    case SILLION_EVENT_ALARM: return "alarm";
    case SILLION_EVENT_ALARM_OVER: return "alarm over";
    case SILLION_EVENT_CYCLES_KEPT: return "openings of the valve until this start";
    case SILLION_EVENT_LOWEST_RATE: return "the lowest rate has risen";
    case SILLION_EVENT_PRESSURE_ASTRAY: return "pressure does not follow its set point";
    case SILLION_EVENT_NEW_RATE: return "new rate";
    case SILLION_EVENT_OPENING_LATE: return "the valve opens late";
    default: return "event";
  }
}

/// The seed that is watched, or row -1 where there is none to watch; informs its row.
Watch start_watching(const scenario::Scenario& scenario, const Watch& asked, bool wave,
                     RowBenches& rows) {
  Watch watch = asked;
  if (watch.row < 0 || watch.row >= static_cast<int>(rows.size())) return {};
  RowBench& row = *rows[static_cast<std::size_t>(watch.row)];
  if (watch.seed == kWatchTypical)
    watch.seed = typical_seed(row.way(), scenario.seeding.meter.spacing_m);
  if (watch.seed < 0 || watch.seed >= static_cast<int>(row.way().seeds.size())) return {};
  row.watch(watch.seed, wave);
  return watch;
}

/// Time by which the band of a seed and those of the neighbours that it is matched against lie.
double settled_s(const SeedWay& way, int seed) {
  constexpr std::size_t kNeighbours = 5;
  const auto first = static_cast<std::size_t>(seed);
  double rest_s = 0.0;
  for (std::size_t k = first; k < std::min(way.seeds.size(), first + kNeighbours + 1); ++k)
    rest_s = std::max(rest_s, way.seeds[k].edge_s + way.delivery_s[k]);
  return rest_s + kPassRunOut_s;
}

/// One slot of machine and rows, with controllers apart; `to_rows` are the machine's frames of the
/// slot before and then of this one.
void run_slot(const scenario::Scenario& scenario, MachineBench& machine, RowBenches& rows,
              std::deque<RowTeam>& teams, std::vector<SentFrame>& to_rows, shared::Instant start) {
  const shared::Instant end = start + kSlot;
  machine.begin_slot(scenario, start, end);
  run_slot_pieces(scenario, machine, rows, teams, to_rows, {start, end});
  to_rows = machine.take_sent(end);
  for (std::size_t row = 0; row < rows.size(); ++row)
    machine.hear(row, rows[row]->take_sent(end), end);
  machine.move_regulator(scenario, kSlot.seconds());
}

void keep_watched(const RowBench& row, const Watch& watch, PassRecord& record) {
  const WatchRecord& watched = row.watched();
  record.watched = watch;
  record.history = watched.history;
  record.wave = row.wave();
  for (const TimedEvent& event : watched.events)
    if (event.at.seconds() >= watched.from_s && event.at.seconds() <= watched.until_s)
      record.steps.push_back({event.at.seconds(), "controller",
                              fmt::format("{} ({}, {})", event_words(event.record.code),
                                          event.record.a, event.record.b)});
}

NetworkRecord network_of(const MachineBench& machine, const RowBenches& rows) {
  NetworkRecord network;
  if (machine.radio) {
    network.down.sent = machine.radio->sent();
    network.down.failed = machine.radio->failed();
  }
  if (machine.cab) network.cab = machine.cab->counts();
  const auto add = [](const RadioWay& air, RadioWay& way) {
    way.lost += air.lost;
    way.repeated += air.repeated;
    way.delays.add(air.delays);
  };
  for (std::size_t row = 0; row < rows.size(); ++row) {
    add(machine.links[row].down(), network.down);
    add(machine.links[row].up(), network.up);
    if (const RadioSender* radio = rows[row]->radio()) {
      network.up.sent += radio->sent();
      network.up.failed += radio->failed();
    }
    network.power.push_back(rows[row]->power());
  }
  return network;
}

void write_down_calls(MachineBench& machine, RowBenches& rows, std::vector<CallLog>* calls) {
  if (calls == nullptr) return;
  calls->resize(rows.size() + 1);
  for (std::size_t row = 0; row < rows.size(); ++row) rows[row]->write_down((*calls)[row]);
  machine.port.write_down(calls->back());
}

/// The rows of a pass; if several cannot start, the first by index is reported.
RowBenches make_rows(const scenario::Scenario& scenario, const model::Travel& travel,
                     const sillion_attachment_table& table, const std::vector<int>& trim_um,
                     const PassOptions& options, ControllerHost& host) {
  RowBenches rows(static_cast<std::size_t>(scenario.row.count));
  std::vector<std::exception_ptr> failed(rows.size());
  const auto make = [&](std::size_t row) {
    const int lane = static_cast<int>(row);
    if (options.on_work) options.on_work({.lane = lane, .phase = -1, .begins = true});
    try {
      rows[row] =
          std::make_unique<RowBench>(scenario, travel, lane, options.pass, table,
                                     row < trim_um.size() ? trim_um[row] : 0, host, options.played);
    } catch (...) {
      failed[row] = std::current_exception();
    }
    if (options.on_work) options.on_work({.lane = lane, .phase = -1, .begins = false});
  };
  const auto make_all = [&] { oneapi::tbb::parallel_for(std::size_t{0}, rows.size(), make); };
  if (host.apart())
    for (std::size_t row = 0; row < rows.size(); ++row) make(row);
  else
    oneapi::tbb::this_task_arena::isolate(make_all);
  for (const std::exception_ptr& error : failed)
    if (error) std::rethrow_exception(error);
  // A loop whose caller has failed elsewhere ends early, without a word.
  for (const auto& row : rows)
    if (row == nullptr) throw Interrupted("interrupted");
  return rows;
}

shared::Instant start_of(std::int64_t slot) { return shared::Instant{} + kSlot * slot; }

std::int64_t slots_until(double end_s) {
  std::int64_t slots = 0;
  while (start_of(slots).seconds() < end_s) ++slots;
  return slots;
}

scenario::Scenario marked(const scenario::Scenario& asked) {
  scenario::Scenario scenario = with_line_form(asked);
  if (!scenario.faults.empty())
    scenario.fault_marks = std::make_shared<scenario::FaultMarks>(scenario.faults.size());
  return scenario;
}

}  // namespace

RunningPass::RunningPass(const scenario::Scenario& asked, const sillion_attachment_table& table,
                         const std::vector<int>& trim_um, const PassOptions& options)
    : scenario_(marked(asked)),
      options_(options),
      travel_(travel_of(scenario_)),
      machine_(make_machine(scenario_, table, travel_, options.pass, options.calls != nullptr)),
      rows_(make_rows(scenario_, travel_, table, trim_um, options, *machine_.host)),
      watch_(start_watching(scenario_, options.watch, options.wave, rows_)),
      end_s_(scenario_.duration_s) {
  for (const auto& row : rows_)
    if (options.keep_coil) row->keep_coil(options.coil_step_s);
  if (watch_.row >= 0)
    fed_.watched_delivery_s = rows_[static_cast<std::size_t>(watch_.row)]
                                  ->way()
                                  .delivery_s[static_cast<std::size_t>(watch_.seed)];
  for (const auto& row : rows_) end_s_ = std::max(end_s_, row->way().last_rest_s);
  if (options_.played) end_s_ = std::max(end_s_, options_.played->end_s);
  end_s_ += kPassRunOut_s;
  if (options.until_watched)  // without a seed of that number nothing has to pass
    end_s_ = watch_.row < 0
                 ? 0.0
                 : std::min(end_s_, settled_s(rows_[static_cast<std::size_t>(watch_.row)]->way(),
                                              watch_.seed));
  end_s_ *= options.share_ratio;
  slots_ = slots_until(end_s_);
  write_down_calls(machine_, rows_, options.calls);
  if (options.feed == nullptr) return;
  fed_.ended = false;
  fed_.known_s = options.played->end_s;
  fed_.runnable = slot_short_of_edges(fed_.known_s);
}

void RunningPass::require_going_on() const {
  if (options_.stop != nullptr && options_.stop->load(std::memory_order_relaxed))
    throw Interrupted("interrupted");
}

/// Tells who watches what the rows did since the second before.
void RunningPass::watch_second(std::int64_t slot) {
  constexpr std::int64_t kSecond_ns = 1'000'000'000;
  const shared::Instant end = start_of(slot);
  if (!options_.on_second || end.ns % kSecond_ns != 0) return;
  RowBench::SoFar now;
  for (const auto& row : rows_) {
    const RowBench::SoFar own = row->so_far();
    now.edges += own.edges;
    now.pulses += own.pulses;
    now.liquid_m3 += own.liquid_m3;
  }
  options_.on_second({.at_s = end.seconds(),
                      .rows = static_cast<int>(rows_.size()),
                      .seeds = now.edges - told_.edges,
                      .pulses = now.pulses - told_.pulses,
                      .speed_mps = model::motion_at(travel_, end.seconds()).speed_mps,
                      .pressure_pa = machine_.regulator.pressure_pa,
                      .liquid_m3 = now.liquid_m3 - told_.liquid_m3});
  told_ = now;
}

/// Counted slot by slot, so that the sum does not depend on how the pass ran.
void RunningPass::come_to(std::int64_t slot) {
  for (; done_ < slot; ++done_)
    record_.simulated_s += kSlot.seconds() * static_cast<double>(rows_.size());
  if (options_.on_progress) options_.on_progress(start_of(slot).seconds() / end_s_);
}

void RunningPass::run_apart() {
  std::deque<RowTeam> teams = teams_of(scenario_, rows_, machine_.host->ahead() == nullptr);
  std::vector<SentFrame> to_rows;
  for (std::int64_t slot = 0; slot < come_by(slot); ++slot) {
    require_going_on();
    run_slot(scenario_, machine_, rows_, teams, to_rows, start_of(slot));
    watch_second(slot + 1);
    come_to(slot + 1);
  }
}

void RunningPass::run_here() {
  std::deque<RowTeam> teams = teams_of(scenario_, rows_, false);
  SlotCrew crew(scenario_, machine_, rows_, teams, options_, kSlot);
  try {
    for (std::int64_t slot = 0; slot < come_by(slot);) {
      require_going_on();
      slot = std::min(come_by(slot), slot + kSlotsAtOnce);
      crew.run_to(slot);
      require_going_on();
      if (crew.slots_done() < slot) throw Interrupted("interrupted");  // as in make_rows
      watch_second(slot);
      come_to(slot);
    }
  } catch (const ControllerError&) {
    come_to(crew.slots_done());
    throw;
  }
}

void RunningPass::run_alone() {
  try {
    machine_.host->apart() ? run_apart() : run_here();
  } catch (const ControllerError& error) {
    if (!options_.keep_fault) throw;
    record_.fault = {error.row, error.at_s, error.what()};
  }
}

PassRecord RunningPass::finish() {
  const bool whole =
      record_.fault.text.empty() && !options_.until_watched && options_.share_ratio == 1.0;
  for (const auto& row : rows_) row->mark_storage_faults();
  if (options_.machine_storage != nullptr)
    *options_.machine_storage = machine_.port.storage().bytes();
  if (scenario_.fault_marks && whole)
    record_.idle_faults = scenario::idle_faults(scenario_, end_s_);
  record_.manifold = machine_.exchange.manifold();
  record_.network = network_of(machine_, rows_);
  record_.machine_events = machine_.port.take_events();
  record_.rows.reserve(rows_.size());
  for (const auto& row : rows_) record_.rows.push_back(row->finish());
  if (states_signals(scenario_))
    for (auto& row : record_.rows) note_machine_events(record_.machine_events, row.signals);
  record_.watched_delivery_s = fed_.watched_delivery_s;
  if (watch_.row >= 0) keep_watched(*rows_[static_cast<std::size_t>(watch_.row)], watch_, record_);
  return std::move(record_);
}

PassRecord run_pass(const scenario::Scenario& scenario, const sillion_attachment_table& table,
                    const std::vector<int>& trim_um, const PassOptions& options) {
  RunningPass pass(scenario, table, trim_um, options);
  pass.run_alone();
  return pass.finish();
}

}  // namespace sim::bench
