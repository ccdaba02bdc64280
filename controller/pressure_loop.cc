#include "controller/pressure_loop.h"

#include "controller/corrections.h"
#include "controller/delay_law.h"
#include "controller/rate_loop.h"
#include "controller/set_point_table.h"
#include "controller/ticks.h"

namespace controller {
namespace {

constexpr std::int32_t kSilentUs = 3'000'000;
constexpr std::int32_t kShare = 8;

bool plausible(std::int64_t flow, std::int64_t expected) {
  return expected > 0 && 2 * flow >= expected && 2 * flow <= 3 * expected;
}

/// Whether a report of this number is to be taken.
bool is_next(RowVote& vote, std::uint16_t number, bool& started_anew) {
  constexpr std::uint8_t kStartedAnew = 5;
  started_anew = begins_again(vote.sequence, number);
  if (!in_sequence(vote.sequence, number)) {
    const bool repeated = number == vote.sequence.last;
    if (repeated || ++vote.behind < kStartedAnew) return false;
    vote.sequence = {true, number};
    started_anew = true;
  }
  vote.behind = 0;
  return true;
}

}  // namespace

bool take_row_report(PressureLoop& loop, const sillion_frame& frame, const sillion_config& config,
                     RowReportFrame& row, bool& started_anew, Report& report) {
  const bool good = decode(frame, row) && row.row < config.rows && row.row < kMostRows;
  const bool heard_before = good && loop.votes[row.row].sequence.any;
  if (!good || !is_next(loop.votes[row.row], row.sequence, started_anew)) {
    ++report.health.bad_frames;
    if (!good) report.event(SILLION_EVENT_BAD_FRAME, saturated(frame.id));
    return false;
  }
  RowVote& vote = loop.votes[row.row];
  const auto resets = static_cast<std::uint8_t>(row.state >> kResetsShift);
  started_anew = started_anew || (heard_before && resets != vote.resets);
  vote.resets = resets;
  const bool counts = (row.state & kFlowValid) != 0 && (row.state & kSetsLift) == 0;
  vote.valid = counts && plausible(row.flow_mm3ps, row.wanted_mm3ps);
  vote.heard_ticks = report.now_ticks;
  vote.flow_mm3ps = row.flow_mm3ps;
  vote.expected_mm3ps = row.wanted_mm3ps;
  return true;
}

void set_pressure(PressureLoop& loop, const sillion_config& config, std::int32_t speed_umps,
                  std::int32_t yaw_uradps, Report& report) {
  const std::int64_t half_width_um =
      std::int64_t{config.row_width_um} * (static_cast<std::int64_t>(config.rows) - 1) / 2;
  const std::int64_t turning_umps = half_width_um * std::max(yaw_uradps, -yaw_uradps) / kMicro;
  const std::int32_t fastest_umps = speed_umps > 0 ? saturated(speed_umps + turning_umps) : 0;
  loop.wanted_mm3ps = wanted_flow_mm3ps(config.in_band_rate_nm, config.row_width_um, fastest_umps);
  const SetPoint plain = set_point_for(config.attachment, loop.wanted_mm3ps);
  const SetPoint trimmed =
      set_point_for(config.attachment, trimmed_mm3ps(plain.reachable_mm3ps, loop.trim_q16));
  const std::int32_t today_pa = pressure_today_pa(config, trimmed.pressure_pa);
  loop.pressure_pa = std::min(today_pa, config.pressure_max_pa);
  const bool bounded = pressure_today_pa(config, plain.pressure_pa) > config.pressure_max_pa;
  const bool outside = fastest_umps > kSlowestUmps && (!plain.in_range || bounded);
  if (outside && !loop.out_of_range) {
    const std::int32_t reachable =
        bounded ? flow_at_pressure_mm3ps(config.attachment,
                                         pressure_in_table_pa(config, config.pressure_max_pa))
                : plain.reachable_mm3ps;
    report.event(SILLION_EVENT_RATE_OUT_OF_RANGE, saturated(std::int64_t{loop.wanted_mm3ps} * 10),
                 reachable * 10);
  }
  loop.out_of_range = outside;
}

void trim_pressure(PressureLoop& loop, std::uint32_t now_ticks) {
  std::int64_t flow = 0;
  std::int64_t expected = 0;
  for (RowVote& vote : loop.votes) {
    if (!vote.valid) continue;
    if (since_us(now_ticks, vote.heard_ticks) > kSilentUs) {
      vote.valid = false;
      vote.sequence = {};
      continue;
    }
    flow += vote.flow_mm3ps;
    expected += vote.expected_mm3ps;
  }
  if (flow <= 0) return;
  const std::int64_t goal = divide_rounded((expected - flow) * 65'536, flow);
  const std::int64_t held = std::clamp<std::int64_t>(goal, -kMostTrimQ16, kMostTrimQ16);
  loop.trim_q16 += static_cast<std::int32_t>((held - loop.trim_q16) / kShare);
}

}  // namespace controller
