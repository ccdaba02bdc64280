#include "controller/edge_filter.h"

#include "controller/ticks.h"

namespace controller {
namespace {

// The capture FIFO is read at every edge, or at the tick after; an older stamp is garbage.
constexpr std::int32_t kOldestStampUs = 50'000;
constexpr std::int32_t kForgetUs = 1'000'000;

}  // namespace

EdgeFilter edge_filter_for(const sillion_config& config) {
  EdgeFilter filter;
  filter.least_gap_us = static_cast<std::int32_t>(config.seed_dwell_us / 2);
  return filter;
}

bool accept_edge(EdgeFilter& filter, const sillion_edge& edge, Report& report) {
  if (edge.rising == 0) return false;
  const std::int32_t age_us = since_us(report.now_ticks, edge.at_ticks);
  const std::int32_t gap_us = filter.has_last ? since_us(edge.at_ticks, filter.last_ticks) : 0;
  const bool stamped_badly = age_us < 0 || age_us > kOldestStampUs;
  const bool too_close = filter.has_last && (gap_us <= 0 || gap_us < filter.least_gap_us);
  if (stamped_badly || too_close) {
    ++report.health.edges_rejected;
    report.event(SILLION_EVENT_EDGE_REJECTED, gap_us);
    return false;
  }
  filter.has_last = true;
  filter.last_ticks = edge.at_ticks;
  ++report.health.edges_accepted;
  return true;
}

void forget_old_edge(EdgeFilter& filter, std::uint32_t now_ticks) {
  if (filter.has_last && since_us(now_ticks, filter.last_ticks) > kForgetUs)
    filter.has_last = false;
}

}  // namespace controller
