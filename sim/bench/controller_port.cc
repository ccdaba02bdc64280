#include "sim/bench/controller_port.h"

#include <fmt/format.h>

#include <algorithm>
#include <limits>
#include <utility>

#include "sim/bench/current_burst.h"
#include "sim/bench/pass.h"

namespace sim::bench {
namespace {

/// A controller that asks for the past again and again would hold the bench for ever.
constexpr int kCallsAtOneInstant = 16;
constexpr std::uint16_t kFullDuty = 32'768;
constexpr shared::Instant kNever{std::numeric_limits<std::int64_t>::max()};

bool in_interface(const sillion_bridge_command& command) {
  return command.state <= SILLION_BRIDGE_REVERSE && command.duty_q15 <= kFullDuty;
}

std::string why_words(std::uint32_t why) {
  std::string words;
  const auto add = [&](std::uint32_t bit, const char* word) {
    if ((why & bit) != 0) words += (words.empty() ? "" : ", ") + std::string(word);
  };
  add(SILLION_WHY_TICK, "tick");
  add(SILLION_WHY_EDGE, "edge");
  add(SILLION_WHY_COMPARE, "compare");
  add(SILLION_WHY_FRAME, "frame");
  return words.empty() ? "start" : words;
}

/// The first member of a declared hardware outside the interface's limits, in words; empty: none.
std::string outside_limits(const sillion_hardware& hardware) {
  const auto off = [](const char* member, std::uint32_t found, std::uint32_t least,
                      std::uint32_t most) {
    return found < least || found > most
               ? fmt::format("declares {} = {}; the interface allows {} to {}", member, found,
                             least, most)
               : std::string();
  };
  constexpr std::uint32_t kAny = std::numeric_limits<std::uint32_t>::max();
  for (const std::string& words :
       {off("tick_ns", hardware.tick_ns, 1, 1'000'000'000),
        off("counter_bits", hardware.counter_bits, 16, 32),
        off("compare_channels", hardware.compare_channels, 0, SILLION_COMPARE_MAX),
        off("analog_bits", hardware.analog_bits, 0, 16),
        off("analog_rate_hz", hardware.analog_rate_hz, 0, kMostSamplesHz),
        off("burst_samples", hardware.burst_samples, 0, SILLION_BURST_MAX),
        off("burst_period_ticks", hardware.burst_period_ticks, hardware.burst_samples > 0 ? 1 : 0,
            kMostBurstTicks),
        off("period_ticks", hardware.period_ticks, 1, kAny),
        off("storage_pages", hardware.storage_pages, 0, SILLION_PAGES_MAX)})
    if (!words.empty()) return words;
  if (hardware.memory_bytes > kMostMemoryBytes)
    return fmt::format("asks for a memory block of {} bytes; a controller may have at most {}",
                       hardware.memory_bytes, kMostMemoryBytes);
  return {};
}

}  // namespace

ControllerPort::ControllerPort(ControllerHost& host, int lane, const sillion_config& config,
                               const ClockSetup& clock, const std::vector<EdgePair>& edges,
                               const StorageSetup& storage)
    : host_(host), lane_(lane), config_(config), ahead_(host.ahead()) {
  add_edges(edges);
  if (ahead_ != nullptr) {
    ahead_->open(lane_, config_, clock);
    find_next_event();
    return;
  }
  read_hardware();
  clock_ = ControllerClock(hardware_, clock.drift_ratio, clock.start_before_wrap_s);
  config_.start_ticks = clock_.counter(0);
  open_storage(storage);
  analog_ = AnalogInput(hardware_, config_);
  analog_.restart(clock_);
  start(Retained::kNone);
  next_tick_ = clock_.instant_of_ticks(hardware_.period_ticks);
  find_next_event();
}

void ControllerPort::add_edges(const std::vector<EdgePair>& edges) {
  for (const EdgePair& pair : edges) {
    edges_.push_back({shared::instant_of(pair.rising_s), true});
    edges_.push_back({shared::instant_of(pair.falling_s), false});
  }
  std::stable_sort(edges_.begin(), edges_.end(),
                   [](const CapturedEdge& a, const CapturedEdge& b) { return a.at < b.at; });
}

void ControllerPort::read_hardware() {
  std::optional<sillion_hardware> found;
  try {
    found = host_.describe(config_.role);
  } catch (const HostFault& error) {
    fault(error.what());
  }
  if (!found)
    fault(fmt::format("does not offer the role of a {} controller (sillion_describe gave null)",
                      config_.role == SILLION_ROLE_ROW ? "row" : "machine"));
  hardware_ = *found;
  if (hardware_.abi_version != SILLION_ABI_VERSION)
    fault(fmt::format("speaks version {} of the interface; the bench speaks {}",
                      hardware_.abi_version, SILLION_ABI_VERSION));
  if (const std::string words = outside_limits(hardware_); !words.empty()) fault(words);
}

void ControllerPort::start(Retained retained) {
  try {
    if (!host_.start(lane_, hardware_.memory_bytes, config_, retained, storage_.bytes()))
      fault("refused to start with this configuration");
  } catch (const HostFault& error) {
    fault(error.what());
  }
}

void ControllerPort::stop(shared::Instant at, std::vector<BridgeChange>& changes, bool power_lost) {
  running_ = false;
  at_ = at;
  for (Compare& compare : compares_) compare.armed = false;
  inbox_.clear();
  inbox_at_.clear();
  input_ = {};
  burst_ = {};
  sent_ok_ = sent_failed_ = 0;
  stop_storage(at, power_lost);
  changes.push_back({at, {.state = SILLION_BRIDGE_FAST_DECAY, .duty_q15 = 0, .current_ma = 0}});
  if (ahead_ != nullptr) ahead_->stop(lane_, at, power_lost);
  find_next_event();
}

void ControllerPort::restart(shared::Instant at, std::uint32_t cause, Retained retained) {
  for (Compare& compare : compares_) compare.armed = false;
  input_ = {};
  burst_ = {};
  sent_ok_ = sent_failed_ = 0;
  at_ = at;
  config_.reset_cause = cause;
  running_ = true;
  last_kick_ = at;
  while (next_edge_ < edges_.size() && edges_[next_edge_].at < at) ++next_edge_;
  if (ahead_ != nullptr) {
    ahead_->restart(lane_, at, cause, retained);
  } else {
    clock_.start_at(at);
    analog_.restart(clock_);
    std::uint32_t page = 0;
    storage_.finish_by(at, page);
    start(retained);
    ticks_done_ = 0;
    asleep_ = false;
    next_tick_ = clock_.instant_of_ticks(hardware_.period_ticks);
  }
  find_next_event();
}

void ControllerPort::find_next_event() {
  next_event_ = kNever;
  if (!running_ || ahead_ != nullptr) return;  // ahead: the port beside the controller knows
  next_event_ = next_tick_;
  if (next_edge_ < edges_.size()) next_event_ = std::min(next_event_, edges_[next_edge_].at);
  for (const Compare& compare : compares_)
    if (compare.armed) next_event_ = std::min(next_event_, compare.at);
  if (!inbox_at_.empty()) next_event_ = std::min(next_event_, inbox_at_.front());
}

void ControllerPort::receive(const sillion_frame& frame, shared::Instant at) {
  if (!running_) return;
  inbox_.push_back(frame);
  inbox_at_.push_back(at);
  if (ahead_ == nullptr) next_event_ = std::min(next_event_, at);
}

bool ControllerPort::call_due(shared::Instant until, const PlantView& plant,
                              std::vector<BridgeChange>& changes) {
  // An answer may ask for the same instant once more: a request for the past comes back at once.
  if (input_.why == 0) {
    calls_at_once_ = 0;
    if (running_)
      analog_.sample_until(std::min(next_event_, until - shared::Duration{1}), plant, clock_);
    if (next_event_ >= until) return false;
    at_ = next_event_;
    collect(at_, changes);
  } else if (++calls_at_once_ == kCallsAtOneInstant) {
    fault("asks for instants in the past without end");
  }
  fill_input(plant);
  return true;
}

/// What happens at the pins at one instant, in the fixed order.
void ControllerPort::collect(shared::Instant at, std::vector<BridgeChange>& changes) {
  for (std::uint32_t channel = 0; channel < hardware_.compare_channels; ++channel) {
    Compare& compare = compares_[channel];
    if (!compare.armed || compare.at != at) continue;
    compare.armed = false;
    const std::int64_t late_ticks =
        hardware_.compare_in_hardware ? 0 : hardware_.interrupt_latency_ticks;
    changes.push_back({clock_.instant_of_ticks(clock_.ticks_at(at) + late_ticks), compare.then});
    input_.compare[channel] = SILLION_COMPARE_MATCHED;
    input_.why |= SILLION_WHY_COMPARE;
  }
  collect_edges(at);
  collect_frames(at);
  if (next_tick_ <= at) {
    input_.why |= SILLION_WHY_TICK;
    ticks_done_ += hardware_.period_ticks;
    next_tick_ = clock_.instant_of_ticks(ticks_done_ + hardware_.period_ticks);
  }
}

/// The next tick as the last answer wants it; every answer states it anew.
void ControllerPort::set_tick(std::int64_t now_ticks) {
  if (output_.sleep_ticks == 0 && !asleep_) return;
  const std::int64_t period = hardware_.period_ticks;
  const std::int64_t wanted =
      (now_ticks + std::int64_t{output_.sleep_ticks} + period - 1) / period * period;
  const std::int64_t next = std::max(wanted, now_ticks / period * period + period);
  ticks_done_ = next - period;
  next_tick_ = clock_.instant_of_ticks(next);
  asleep_ = output_.sleep_ticks != 0;
}

void ControllerPort::collect_edges(shared::Instant at) {
  const std::uint32_t depth =
      std::min<std::uint32_t>(hardware_.capture_fifo_depth, SILLION_EDGES_MAX);
  while (next_edge_ < edges_.size() && edges_[next_edge_].at <= at) {
    const CapturedEdge& edge = edges_[next_edge_++];
    if (input_.edge_count >= depth) {
      input_.edge_overflow = 1;
      continue;
    }
    sillion_edge& captured = input_.edges[input_.edge_count++];
    captured.at_ticks = clock_.counter(clock_.ticks_at(edge.at));
    captured.rising = edge.rising ? 1 : 0;
    input_.why |= SILLION_WHY_EDGE;
  }
}

void ControllerPort::collect_frames(shared::Instant at) {
  while (!inbox_at_.empty() && inbox_at_.front() <= at && input_.frame_count < SILLION_FRAMES_MAX) {
    sillion_frame& frame = input_.frames[input_.frame_count];
    frame = inbox_.front();
    frame.received_ticks = clock_.counter(clock_.ticks_at(inbox_at_.front()));
    ++input_.frame_count;
    inbox_.erase(inbox_.begin());
    inbox_at_.erase(inbox_at_.begin());
    input_.why |= SILLION_WHY_FRAME;
  }
}

void ControllerPort::fill_input(const PlantView& plant) {
  input_.now_ticks = clock_.counter(clock_.ticks_at(at_));
  analog_.hand_over(plant, input_);
  if (burst_.count > 0) fill_burst();
  input_.meter_pulses = plant.meter_pulses;
  input_.meter_last_ticks = clock_.counter(clock_.ticks_at(plant.meter_last));
  input_.digital = plant.digital;
  input_.frames_sent_ok = sent_ok_;
  input_.frames_sent_failed = sent_failed_;
  sent_ok_ = sent_failed_ = 0;
  fill_storage_input();
  output_ = {};
}

/// What began before the controller's start is not its own.
void ControllerPort::fill_burst() {
  if (burst_.start >= clock_.started_at()) {
    input_.burst_count = burst_.count;
    input_.burst_start_ticks = clock_.counter(clock_.ticks_at(burst_.start));
    std::copy_n(burst_.counts, burst_.count, input_.burst_counts);
  }
  burst_ = {};
}

StepCall ControllerPort::call() { return {.lane = lane_, .input = &input_, .output = &output_}; }

void ControllerPort::take(const StepCall& answered, std::vector<BridgeChange>& changes) {
  if (!answered.fault.empty()) fault(answered.fault);
  refuse_output();
  if (log_ != nullptr) sim::bench::write_down(*log_, calls_, at_, input_, output_);
  ++calls_;
  input_ = {};

  if (output_.bridge_valid) changes.push_back({at_, output_.bridge});
  const std::int64_t now_ticks = clock_.ticks_at(at_);
  for (std::uint32_t k = 0; k < output_.compare_count; ++k) arm(output_.compares[k], now_ticks);
  for (std::uint32_t k = 0; k < output_.frame_count; ++k)
    sent_.push_back({output_.frames[k], at_, at_});
  for (std::uint32_t k = 0; k < output_.event_count; ++k)
    events_.push_back({at_, output_.events[k]});
  health_ = output_.health;
  if (output_.watchdog_kick != 0) last_kick_ = at_;
  set_tick(now_ticks);
  take_storage_command();
  if (output_.pressure_setpoint_valid) {
    pressure_given_ = true;
    pressure_pa_ = output_.pressure_setpoint_pa;
  }
  find_next_event();
}

void ControllerPort::arm(const sillion_compare_request& request, std::int64_t now_ticks) {
  Compare& compare = compares_[request.channel];
  compare.armed = false;
  if (!request.armed) return;
  const std::int64_t ahead_ticks = clock_.ahead_ticks(now_ticks, request.at_ticks);
  if (ahead_ticks < 0) {
    input_.compare[request.channel] = SILLION_COMPARE_PAST;
    input_.why |= SILLION_WHY_COMPARE;
    return;
  }
  compare = {true, std::max(at_, clock_.instant_of_ticks(now_ticks + ahead_ticks)), request.then};
}

void ControllerPort::run_until(shared::Instant until, const PlantView& plant,
                               std::vector<BridgeChange>& changes) {
  while (call_due(until, plant, changes)) {
    StepCall due = call();
    host_.step({&due, 1});
    take(due, changes);
  }
}

/// Refuses whatever the interface does not have.
void ControllerPort::refuse_output() const {
  if (output_.compare_count > SILLION_COMPARE_MAX * 2 || output_.frame_count > SILLION_FRAMES_MAX ||
      output_.event_count > SILLION_EVENTS_MAX)
    fault("returned counts beyond the interface's limits");
  for (std::uint32_t k = 0; k < output_.frame_count; ++k)
    if (output_.frames[k].length > SILLION_FRAME_BYTES)
      fault(fmt::format("sent a frame of {} bytes; the interface has at most {}",
                        output_.frames[k].length, int{SILLION_FRAME_BYTES}));
  refuse_storage_command();
  if (output_.bridge_valid != 0 && !in_interface(output_.bridge))
    fault(
        fmt::format("returned a bridge command that the interface does not have (state {}, "
                    "duty {})",
                    output_.bridge.state, output_.bridge.duty_q15));
  for (std::uint32_t k = 0; k < output_.compare_count; ++k) {
    const sillion_compare_request& request = output_.compares[k];
    if (request.channel >= hardware_.compare_channels)
      fault(fmt::format("uses compare channel {} of {}", request.channel,
                        hardware_.compare_channels));
    if (request.armed != 0 && !in_interface(request.then))
      fault(
          fmt::format("armed a bridge command that the interface does not have (state {}, "
                      "duty {})",
                      request.then.state, request.then.duty_q15));
  }
}

std::string call_sentence(const CallPlace& place, const std::string& what) {
  return fmt::format("{} at {:.6f} s, call {} ({}): {}",
                     place.row >= 0 ? fmt::format("row {}", place.row) : "machine",
                     place.at.seconds(), place.call, why_words(place.why), what);
}

void ControllerPort::fault(const std::string& what) const {
  const int row = config_.role == SILLION_ROLE_ROW ? static_cast<int>(config_.row) : -1;
  ControllerError error(
      call_sentence({.row = row, .at = at_, .call = calls_, .why = input_.why}, what));
  error.row = row;
  error.at_s = at_.seconds();
  throw error;
}

std::vector<SentFrame> ControllerPort::take_sent() { return std::exchange(sent_, {}); }

void ControllerPort::transmitted(std::uint32_t ok, std::uint32_t failed) {
  if (!running_) return;
  sent_ok_ += ok;
  sent_failed_ += failed;
}

std::vector<TimedEvent> ControllerPort::take_events() { return std::exchange(events_, {}); }

double tick_of_s(const std::string& library, std::uint32_t role) {
  try {
    const std::optional<sillion_hardware> hardware = make_host(library, 1)->describe(role);
    return hardware ? 1e-9 * hardware->tick_ns : std::numeric_limits<double>::quiet_NaN();
  } catch (const HostFault& error) {
    throw ControllerError(error.what());
  }
}

}  // namespace sim::bench
