#include "sim/study/check/call_members.h"

#include <algorithm>

namespace sim::check {
namespace {

std::string numbered(const char* list, std::uint32_t index, const char* member) {
  return std::string(list) + "[" + std::to_string(index) + "]." + member;
}

void add_frame(const char* list, std::uint32_t index, const sillion_frame& frame,
               CallMembers& members) {
  members.emplace_back(numbered(list, index, "id"), frame.id);
  members.emplace_back(numbered(list, index, "length"), frame.length);
  members.emplace_back(numbered(list, index, "sender"), frame.sender);
  for (std::uint32_t byte = 0; byte < SILLION_FRAME_BYTES; ++byte)
    members.emplace_back(numbered(list, index, "bytes") + "[" + std::to_string(byte) + "]",
                         frame.bytes[byte]);
}

void add_bridge(const std::string& name, const sillion_bridge_command& command,
                CallMembers& members) {
  members.emplace_back(name + ".state", command.state);
  members.emplace_back(name + ".duty_q15", command.duty_q15);
  members.emplace_back(name + ".current_ma", command.current_ma);
}

void add_page(const std::uint8_t (&page)[SILLION_PAGE_BYTES], CallMembers& members) {
  for (std::uint32_t byte = 0; byte < SILLION_PAGE_BYTES; ++byte)
    members.emplace_back("storage[" + std::to_string(byte) + "]", page[byte]);
}

void add_health(const sillion_health& health, CallMembers& members) {
  const std::pair<const char*, std::uint32_t> counters[] = {
      {"edges_accepted", health.edges_accepted},   {"edges_rejected", health.edges_rejected},
      {"queue_overflows", health.queue_overflows}, {"late_compares", health.late_compares},
      {"bad_frames", health.bad_frames},           {"resets", health.resets},
      {"merged_seeds", health.merged_seeds},       {"continuous_ms", health.continuous_ms},
      {"stale_speed_ms", health.stale_speed_ms},   {"capture_overflows", health.capture_overflows},
      {"skipped_seeds", health.skipped_seeds},     {"safe_closed_ms", health.safe_closed_ms}};
  for (const auto& [name, count] : counters)
    members.emplace_back(std::string("health.") + name, count);
}

}  // namespace

CallMembers members_of(const sillion_input& input) {
  CallMembers members = {{"now_ticks", input.now_ticks},
                         {"why", input.why},
                         {"edge_count", input.edge_count},
                         {"edge_overflow", input.edge_overflow}};
  for (std::uint32_t k = 0; k < std::min<std::uint32_t>(input.edge_count, SILLION_EDGES_MAX); ++k) {
    members.emplace_back(numbered("edges", k, "at_ticks"), input.edges[k].at_ticks);
    members.emplace_back(numbered("edges", k, "rising"), input.edges[k].rising);
  }
  for (std::uint32_t k = 0; k < SILLION_COMPARE_MAX; ++k)
    members.emplace_back("compare[" + std::to_string(k) + "]", input.compare[k]);
  for (std::uint32_t k = 0; k < SILLION_ANALOG_MAX; ++k)
    members.emplace_back("analog_counts[" + std::to_string(k) + "]", input.analog_counts[k]);
  members.emplace_back("burst_count", input.burst_count);
  members.emplace_back("burst_start_ticks", input.burst_start_ticks);
  for (std::uint32_t k = 0; k < std::min<std::uint32_t>(input.burst_count, SILLION_BURST_MAX); ++k)
    members.emplace_back("burst_counts[" + std::to_string(k) + "]", input.burst_counts[k]);
  members.emplace_back("meter_pulses", input.meter_pulses);
  members.emplace_back("digital", input.digital);
  members.emplace_back("frames_sent_ok", input.frames_sent_ok);
  members.emplace_back("frames_sent_failed", input.frames_sent_failed);
  members.emplace_back("storage_busy", input.storage_busy);
  members.emplace_back("storage_done", input.storage_done);
  members.emplace_back("storage_refused", input.storage_refused);
  members.emplace_back("storage_page", input.storage_page);
  add_page(input.storage, members);
  members.emplace_back("frame_count", input.frame_count);
  for (std::uint32_t k = 0; k < std::min<std::uint32_t>(input.frame_count, SILLION_FRAMES_MAX); ++k)
    add_frame("frames", k, input.frames[k], members);
  return members;
}

CallMembers members_of(const sillion_output& output) {
  CallMembers members = {{"bridge_valid", output.bridge_valid}};
  add_bridge("bridge", output.bridge, members);
  members.emplace_back("compare_count", output.compare_count);
  const std::uint32_t requests =
      std::min<std::uint32_t>(output.compare_count, SILLION_COMPARE_MAX * 2);
  for (std::uint32_t k = 0; k < requests; ++k) {
    const sillion_compare_request& one = output.compares[k];
    members.emplace_back(numbered("compares", k, "channel"), one.channel);
    members.emplace_back(numbered("compares", k, "armed"), one.armed);
    members.emplace_back(numbered("compares", k, "at_ticks"), one.at_ticks);
    add_bridge(numbered("compares", k, "then"), one.then, members);
  }
  members.emplace_back("frame_count", output.frame_count);
  for (std::uint32_t k = 0; k < std::min<std::uint32_t>(output.frame_count, SILLION_FRAMES_MAX);
       ++k)
    add_frame("frames", k, output.frames[k], members);
  members.emplace_back("pressure_setpoint_valid", output.pressure_setpoint_valid);
  members.emplace_back("pressure_setpoint_pa", output.pressure_setpoint_pa);
  members.emplace_back("storage_command", output.storage_command);
  members.emplace_back("storage_page", output.storage_page);
  add_page(output.storage, members);
  members.emplace_back("watchdog_kick", output.watchdog_kick);
  members.emplace_back("sleep_ticks", output.sleep_ticks);
  members.emplace_back("event_count", output.event_count);
  for (std::uint32_t k = 0; k < std::min<std::uint32_t>(output.event_count, SILLION_EVENTS_MAX);
       ++k) {
    members.emplace_back(numbered("events", k, "code"), output.events[k].code);
    members.emplace_back(numbered("events", k, "a"), output.events[k].a);
    members.emplace_back(numbered("events", k, "b"), output.events[k].b);
  }
  add_health(output.health, members);
  return members;
}

}  // namespace sim::check
