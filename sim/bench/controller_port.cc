#include "sim/bench/controller_port.h"

#include <dlfcn.h>
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <filesystem>
#include <type_traits>
#include <utility>

#include "sim/bench/guarded_call.h"
#include "sim/bench/pass.h"
#include "sim/scenario/loader.h"

namespace sim {
namespace {

/// A controller that asks for the past again and again would hold the bench for ever.
constexpr int kCallsAtOneInstant = 16;
/// Words on both sides of the controller's memory that nobody may write.
constexpr std::size_t kFenceWords = 16;
constexpr std::uint64_t kFence = 0x5ea1ed0fe2ce5ea1u;
constexpr std::uint16_t kFullDuty = 32'768;

// A digest reads the bytes of a call, so none of them may be padding.
static_assert(std::has_unique_object_representations_v<sillion_input>);
static_assert(std::has_unique_object_representations_v<sillion_output>);

/// FNV-1a over whole words: tells calls apart, resists nobody.
template <typename T>
std::uint64_t digest(std::uint64_t hash, const T& value) {
  static_assert(sizeof(T) % sizeof(std::uint32_t) == 0);
  const auto* word = reinterpret_cast<const unsigned char*>(&value);
  for (std::size_t k = 0; k < sizeof(T); k += sizeof(std::uint32_t)) {
    std::uint32_t part = 0;
    std::copy_n(word + k, sizeof part, reinterpret_cast<unsigned char*>(&part));
    hash = (hash ^ part) * 0x100000001b3u;
  }
  return hash;
}

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
  return words;
}

std::uint16_t counts_of(double value, std::int32_t full_scale, std::uint32_t bits) {
  if (full_scale <= 0) return 0;
  const double most = static_cast<double>((1u << bits) - 1u);
  return static_cast<std::uint16_t>(
      std::clamp(std::floor(value / full_scale * most + 0.5), 0.0, most));
}

}  // namespace

ControllerLibrary reference_controller() {
  return {&sillion_describe, &sillion_init, &sillion_step};
}

ControllerLibrary load_controller(const std::string& file) {
  std::error_code ignored;
  if (!std::filesystem::is_regular_file(file, ignored))
    throw InputError(file + ": no such controller library");
  void* handle = dlopen(file.c_str(), RTLD_NOW | RTLD_LOCAL);
  if (handle == nullptr) throw InputError(fmt::format("cannot load controller: {}", dlerror()));
  const auto symbol = [&](const char* name) {
    void* found = dlsym(handle, name);
    if (found == nullptr)
      throw InputError(fmt::format("{}: does not export {} (shared/controller_abi.h)", file, name));
    return found;
  };
  return {reinterpret_cast<decltype(ControllerLibrary::describe)>(symbol("sillion_describe")),
          reinterpret_cast<decltype(ControllerLibrary::init)>(symbol("sillion_init")),
          reinterpret_cast<decltype(ControllerLibrary::step)>(symbol("sillion_step"))};
}

ControllerClock::ControllerClock(const sillion_hardware& hardware, double drift_ratio,
                                 double start_before_wrap_s)
    : tick_ns_(hardware.tick_ns),
      rate_ppb_(1'000'000'000 + static_cast<std::int64_t>(std::llround(drift_ratio * 1e9))),
      mask_(hardware.counter_bits >= 32 ? 0xffffffffu : (1u << hardware.counter_bits) - 1u) {
  const auto before =
      static_cast<std::uint32_t>(start_before_wrap_s * 1e9 / static_cast<double>(tick_ns_));
  start_ = (0u - before) & mask_;
}

std::int64_t ControllerClock::ticks_at(shared::Instant at) const {
  return static_cast<std::int64_t>(static_cast<__int128>(at.ns) * rate_ppb_ /
                                   (static_cast<__int128>(1'000'000'000) * tick_ns_));
}

shared::Instant ControllerClock::instant_of_ticks(std::int64_t ticks) const {
  const __int128 scaled = static_cast<__int128>(ticks) * tick_ns_ * 1'000'000'000;
  return {static_cast<std::int64_t>((scaled + rate_ppb_ - 1) / rate_ppb_)};
}

std::uint32_t ControllerClock::counter(std::int64_t ticks) const {
  return (start_ + static_cast<std::uint32_t>(ticks)) & mask_;
}

std::int64_t ControllerClock::ahead_ticks(std::int64_t ticks, std::uint32_t counter_value) const {
  const std::uint32_t ahead = (counter_value - counter(ticks)) & mask_;
  const std::int64_t range = static_cast<std::int64_t>(mask_) + 1;
  return ahead > mask_ / 2 ? static_cast<std::int64_t>(ahead) - range
                           : static_cast<std::int64_t>(ahead);
}

ControllerPort::ControllerPort(const ControllerLibrary& library, sillion_config config,
                               double clock_drift_ratio, double start_before_wrap_s,
                               const std::vector<EdgePair>& edges)
    : library_(library), config_(config) {
  const CallEnd described = guarded_call(
      [](void* self) {
        auto* port = static_cast<ControllerPort*>(self);
        port->hardware_ = port->library_.describe(port->config_.role);
      },
      this);
  if (described.fault != CallFault::kNone)
    fault({}, fault_words(described) + " while it described itself");
  if (hardware_ == nullptr) throw ControllerError("the controller does not offer this role");
  if (hardware_->abi_version != SILLION_ABI_VERSION)
    throw ControllerError(
        fmt::format("the controller speaks interface version {}, the bench speaks {}",
                    hardware_->abi_version, SILLION_ABI_VERSION));
  if (hardware_->tick_ns == 0 || hardware_->period_ticks == 0 || hardware_->counter_bits < 16 ||
      hardware_->counter_bits > 32 || hardware_->compare_channels > SILLION_COMPARE_MAX ||
      hardware_->analog_bits > 16)
    throw ControllerError("the controller declares hardware outside the interface's limits");
  clock_ = ControllerClock(*hardware_, clock_drift_ratio, start_before_wrap_s);
  config_.start_ticks = clock_.counter(0);
  constexpr std::size_t kWord = sizeof(std::uint64_t);
  memory_.assign((hardware_->memory_bytes + kWord - 1) / kWord + 2 * kFenceWords, 0);
  std::fill_n(memory_.begin(), kFenceWords, kFence);
  std::fill_n(memory_.rbegin(), kFenceWords, kFence);
  const CallEnd end = guarded_call(
      [](void* self) {
        auto* port = static_cast<ControllerPort*>(self);
        port->controller_ =
            port->library_.init(port->memory_.data() + kFenceWords, port->hardware_->memory_bytes,
                                &port->config_, nullptr, 0);
      },
      this);
  if (end.fault != CallFault::kNone) fault({}, fault_words(end) + " while it started");
  if (controller_ == nullptr)
    throw ControllerError("the controller refused to start with this configuration");
  for (const EdgePair& pair : edges) {
    edges_.push_back({shared::instant_of(pair.rising_s), true});
    edges_.push_back({shared::instant_of(pair.falling_s), false});
  }
  std::stable_sort(edges_.begin(), edges_.end(),
                   [](const CapturedEdge& a, const CapturedEdge& b) { return a.at < b.at; });
  next_tick_ = clock_.instant_of_ticks(hardware_->period_ticks);
  find_next_event();
}

void ControllerPort::find_next_event() {
  next_event_ = next_tick_;
  if (next_edge_ < edges_.size()) next_event_ = std::min(next_event_, edges_[next_edge_].at);
  for (const Compare& compare : compares_)
    if (compare.armed) next_event_ = std::min(next_event_, compare.at);
  if (!inbox_at_.empty()) next_event_ = std::min(next_event_, inbox_at_.front());
}

void ControllerPort::receive(const sillion_frame& frame, shared::Instant at) {
  inbox_.push_back(frame);
  inbox_at_.push_back(at);
  next_event_ = std::min(next_event_, at);
}

void ControllerPort::run_until(shared::Instant until, const PlantView& plant,
                               std::vector<BridgeChange>& changes) {
  while (next_event_ < until) {
    const shared::Instant at = next_event_;
    std::uint32_t why = 0;
    for (std::uint32_t channel = 0; channel < hardware_->compare_channels; ++channel) {
      Compare& compare = compares_[channel];
      if (!compare.armed || compare.at != at) continue;
      compare.armed = false;
      const std::int64_t late_ticks =
          hardware_->compare_in_hardware ? 0 : hardware_->interrupt_latency_ticks;
      changes.push_back({clock_.instant_of_ticks(clock_.ticks_at(at) + late_ticks), compare.then});
      input_.compare[channel] = SILLION_COMPARE_MATCHED;
      why |= SILLION_WHY_COMPARE;
    }
    while (next_edge_ < edges_.size() && edges_[next_edge_].at <= at) {
      const CapturedEdge& edge = edges_[next_edge_++];
      const std::uint32_t depth =
          std::min<std::uint32_t>(hardware_->capture_fifo_depth, SILLION_EDGES_MAX);
      if (input_.edge_count >= depth) {
        input_.edge_overflow = 1;
        continue;
      }
      sillion_edge& captured = input_.edges[input_.edge_count++];
      captured.at_ticks = clock_.counter(clock_.ticks_at(edge.at));
      captured.rising = edge.rising ? 1 : 0;
      why |= SILLION_WHY_EDGE;
    }
    while (!inbox_at_.empty() && inbox_at_.front() <= at &&
           input_.frame_count < SILLION_FRAMES_MAX) {
      input_.frames[input_.frame_count] = inbox_.front();
      input_.frames[input_.frame_count].received_ticks =
          clock_.counter(clock_.ticks_at(inbox_at_.front()));
      ++input_.frame_count;
      inbox_.erase(inbox_.begin());
      inbox_at_.erase(inbox_at_.begin());
      why |= SILLION_WHY_FRAME;
    }
    if (next_tick_ <= at) {
      why |= SILLION_WHY_TICK;
      ticks_done_ += hardware_->period_ticks;
      next_tick_ = clock_.instant_of_ticks(ticks_done_ + hardware_->period_ticks);
    }
    call(at, why, plant, changes);
    find_next_event();
  }
}

void ControllerPort::call(shared::Instant at, std::uint32_t why, const PlantView& plant,
                          std::vector<BridgeChange>& changes) {
  input_.why = why;
  for (int calls = 0; input_.why != 0; ++calls) {
    if (calls == kCallsAtOneInstant) fault(at, "asks for instants in the past without end");
    call_once(at, plant, changes);
  }
}

void ControllerPort::call_once(shared::Instant at, const PlantView& plant,
                               std::vector<BridgeChange>& changes) {
  const std::int64_t now_ticks = clock_.ticks_at(at);
  input_.now_ticks = clock_.counter(now_ticks);
  const double values[] = {plant.pressure_pa, plant.supply_voltage_v * 1e3,
                           plant.coil_current_a * 1e3};
  for (std::uint32_t channel = 0; channel < std::min<std::uint32_t>(hardware_->analog_channels, 3);
       ++channel)
    input_.analog_counts[channel] =
        counts_of(values[channel], config_.analog_full_scale[channel], hardware_->analog_bits);
  input_.meter_pulses = plant.meter_pulses;
  input_.meter_last_ticks = clock_.counter(clock_.ticks_at(plant.meter_last));
  input_.digital = plant.digital;
  input_.frames_sent_ok = sent_ok_;
  sent_ok_ = 0;
  output_ = {};
  ask_controller(at);
  input_ = {};

  if (output_.bridge_valid) changes.push_back({at, output_.bridge});
  for (std::uint32_t k = 0; k < output_.compare_count; ++k) {
    const sillion_compare_request& request = output_.compares[k];
    Compare& compare = compares_[request.channel];
    compare.armed = false;
    if (!request.armed) continue;
    const std::int64_t ahead_ticks = clock_.ahead_ticks(now_ticks, request.at_ticks);
    if (ahead_ticks < 0) {
      input_.compare[request.channel] = SILLION_COMPARE_PAST;
      input_.why |= SILLION_WHY_COMPARE;
      continue;
    }
    compare = {true, std::max(at, clock_.instant_of_ticks(now_ticks + ahead_ticks)), request.then};
  }
  for (std::uint32_t k = 0; k < output_.frame_count; ++k) sent_.push_back(output_.frames[k]);
  sent_ok_ += output_.frame_count;
  for (std::uint32_t k = 0; k < output_.event_count; ++k)
    events_.push_back({at, output_.events[k]});
  health_ = output_.health;
  if (output_.pressure_setpoint_valid) {
    pressure_given_ = true;
    pressure_pa_ = output_.pressure_setpoint_pa;
  }
}

void ControllerPort::ask_controller(shared::Instant at) {
  // The controller may write into what it is handed; the log keeps what it was asked.
  const sillion_input asked = input_;
  const CallEnd end = guarded_call(
      [](void* self) {
        auto* port = static_cast<ControllerPort*>(self);
        port->library_.step(port->controller_, &port->input_, &port->output_);
      },
      this);
  input_ = asked;
  if (end.fault != CallFault::kNone) fault(at, fault_words(end));
  refuse_output(at);
  if (log_ != nullptr) {
    if (log_->capture == calls_ + 1) log_->equal_until = at;
    if (log_->capture == calls_) {
      log_->captured_at = at;
      log_->captured_input = asked;
      log_->captured_output = output_;
    }
    log_->digests.push_back(digest(digest(0xcbf29ce484222325u, asked), output_));
  }
  ++calls_;
}

/// Whatever the interface does not have.
void ControllerPort::refuse_output(shared::Instant at) const {
  const auto fenced = [](auto from) {
    return std::all_of(from, from + kFenceWords, [](std::uint64_t word) { return word == kFence; });
  };
  if (!fenced(memory_.begin()) || !fenced(memory_.rbegin()))
    fault(at, "wrote outside its memory block");
  if (output_.compare_count > SILLION_COMPARE_MAX * 2 || output_.frame_count > SILLION_FRAMES_MAX ||
      output_.event_count > SILLION_EVENTS_MAX)
    fault(at, "returned counts beyond the interface's limits");
  if (output_.bridge_valid != 0 && !in_interface(output_.bridge))
    fault(at, fmt::format("returned a bridge command that the interface does not have (state {}, "
                          "duty {})",
                          output_.bridge.state, output_.bridge.duty_q15));
  for (std::uint32_t k = 0; k < output_.compare_count; ++k) {
    const sillion_compare_request& request = output_.compares[k];
    if (request.channel >= hardware_->compare_channels)
      fault(at, fmt::format("uses compare channel {} of {}", request.channel,
                            hardware_->compare_channels));
    if (request.armed != 0 && !in_interface(request.then))
      fault(at, fmt::format("armed a bridge command that the interface does not have (state {}, "
                            "duty {})",
                            request.then.state, request.then.duty_q15));
  }
}

void ControllerPort::fault(shared::Instant at, const std::string& what) const {
  const bool is_row = config_.role == SILLION_ROLE_ROW;
  ControllerError error(fmt::format("{} at {:.6f} s, call {} ({}): {}",
                                    is_row ? fmt::format("row {}", config_.row) : "machine",
                                    at.seconds(), calls_, why_words(input_.why), what));
  error.row = is_row ? static_cast<int>(config_.row) : -1;
  error.at_s = at.seconds();
  throw error;
}

std::vector<sillion_frame> ControllerPort::take_sent() { return std::exchange(sent_, {}); }
std::vector<TimedEvent> ControllerPort::take_events() { return std::exchange(events_, {}); }

}  // namespace sim
