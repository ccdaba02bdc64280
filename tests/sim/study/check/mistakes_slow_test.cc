// Mistakes of tests/support/mistakes.cmake that show only after hours in the field, whose scenarios
// take seconds of work each, or beside which a like one stands in mistakes_test.cc.
#include <gtest/gtest.h>

#include "tests/support/mistakes.h"

namespace {

constexpr support::MistakeCase kMistakes[] = {
    {"voltage_slow", "table, voltage falls", "placement_error_abs_p95 at most"},
    {"voltage_raw", "table, voltage ripples", "band_length_sd at most"},
    {"end_not_held", "table, battery empty", "placement_error_mean at most"},
    {"far_end_not_held", "table, thickest liquid", "placement_error_mean at most"},
    {"viscosity_no_lag", "table, thick liquid", "band_length_mean at most"},
    {"pressure_plain", "table, thick liquid", "supply pressure at least while commanded"},
    {"rest_turned", "table, longer rest", "placement_error_mean at most"},
    {"rest_deaf", "table, short rest", "placement_error_mean at most"},
    {"rest_of_plain", "table, longer rest", "band_length_mean at least"},
    {"half_lag", "table, battery empty", "band_length_mean at least"},
    {"pressure_straight", "table, flow when slow", "supply pressure at most while commanded"},
    {"lead_in_steps", "table, flow between", "placement_error_mean at least"},
    {"flow_straight", "table, flow between", "band_length_mean at most"},
    {"no_limit", "table, pressure limit", "placement_error_mean at most"},
    {"late_for_ever", "table, too late", "skipped_seeds at least"},
    {"late_untold", "table, late", "late_compares at least"},
    {"one_sided", "table, short band", "placement_error_mean at most"},
    {"shortest_on_deaf", "table, short band", "placement_error_mean at most"},
    {"merged_by_plain", "table, no rest", "late_compares at most"},
    {"voltage_turned", "table, battery empty", "placement_error_mean at most"},
    {"middle_row", "table, outer row", "supply pressure at least while commanded"},
    {"yaw_turned", "still, curve/30 m", "placement_error_abs_p95 at most"},
    {"yaw_deaf", "still, curve/30 m", "placement_error_abs_p95 at most"},
    {"circle_lost", "long, circles/30 m", "placement_error_max_abs at most"},
    {"gate_fixed", "still, saw/0.25 s", "no_band at most"},
    {"no_acceleration", "still, saw/0.25 s", "placement_error_p50 at most"},
    {"odometer_narrow", "long, straight", "no_band at most"},
    {"slow_slip", "long, straight", "placement_error_mean at most"},
    {"slots_leak", "long, many in flight", "queue_overflows at most"},
    {"lost_seed_dropped", "still, queue full", "no_band at most"},
    {"overflow_untold", "still, queue full", "queue_overflows at least"},
    {"stream_for_ever", "still, queue full", "banded at least"},
    {"long_dead_time", "still, dense/60 mm, 16 km/h", "no_band at most"},
    {"skipped_untold", "table, too late", "skipped_seeds at least"},
    {"trim_turned", "still, trimmed", "placement_error_abs_p95 at most"},
    {"trim_deaf", "still, trimmed", "placement_error_abs_p95 at most"},
    {"band_from_start", "table, short band", "placement_error_mean at most"},
    {"lifted_deaf", "still, lifted/16 km/h", "never commanded while lifted, from 20 ms on"},
    {"old_seeds_kept", "still, lifted for a moment", "late_compares at most"},
    {"hold_deaf", "still, hold", "never commanded while in hold, from 20 ms on"},
    {"row_off_deaf", "still, row off", "never commanded while row off, from 20 ms on"},
    {"stand_in_deaf", "still, direction unknown", "no_band at most"},
    {"numbers_deaf", "still, frames twice", "bad_frames at least"},
    {"memory_forgotten", "still, restart by watchdog", "edges_accepted at least"},
    {"memory_believed", "still, restart by request", "edges_accepted at most"},
    {"reset_untold", "still, restart by watchdog", "resets at least"},
    {"restart_refused", "still, machine restarts", "no_band at most"},
    {"meter_turned", "row, meter", "dose_mean at least"},
    {"meter_of_coil", "row, meter when slow", "dose_mean at most"},
    {"meter_unguarded", "row, one of four plugged", "dose_within_10_percent_sensed at least"},
    {"meter_unbounded", "row, meter at its end", "supply pressure at most while commanded"},
    {"number_wrapped", "long, two hours", "bad_frames at most"},
    {"low_flow_deaf", "row, alarm of low flow", "low-flow alarm within 2200 ms of edge"},
    {"high_flow_deaf", "row, alarm of high flow", "high-flow alarm within 2200 ms of edge"},
    {"flow_turned", "row, alarm of low flow", "low-flow alarm within 2200 ms of edge"},
    {"empty_line_deaf", "row, alarm of an empty line", "empty-line alarm within 2200 ms of edge"},
    {"empty_line_stays", "row, alarm of an empty line is over",
     "not empty-line alarm within 2200 ms of edge"},
    {"no_seeds_deaf", "row, alarm of no seeds", "no-seeds alarm within 2200 ms of edge"},
    {"worn_deaf", "row, alarm of wear", "worn alarm within 10000 ms of edge"},
    {"second_deaf", "row, alarm of a second regulator",
     "second-regulator alarm within 2200 ms of edge"},
    {"opening_turned", "row, low voltage trimmed", "placement_error_mean at most"},
    {"clock_deaf", "still, clock on the radio", "placement_error_p50 at least"},
    {"clock_turned", "still, clock on the radio", "placement_error_p50 at least"},
    {"opening_deaf", "row, low voltage trimmed", "placement_error_mean at most"},
    {"no_flow_deaf", "row, alarm of no flow", "no-flow alarm within 2200 ms of edge"},
    {"safe_time_untold", "still, hold", "safe_closed_time at least"},
    {"kick_forgotten", "still, watchdog", "resets at most"},
    {"power_up_kept", "still, restart by power", "edges_accepted at most"},
    {"burst_untold", "still, edges burst", "capture_overflows at least"},
    {"rejected_untold", "still, edges bounce", "edges_rejected at least"},
    {"bad_frames_untold", "still, frames cut", "bad_frames at least"},
    {"late_given_up", "table, late", "no_band at most"},
    {"direction_deaf", "still, backwards", "safe_closed_time at least"},
    {"timeout_halved", "still, frames lost", "no_band at most"},
    {"never_stale", "still, speed lost for long", "no_band at least"},
    {"viscosity_turned", "table, thick liquid", "placement_error_mean at most"},
};

class SlowMistake : public testing::TestWithParam<support::MistakeCase> {};

TEST_P(SlowMistake, IsToldApartByItsScenario) { support::expect_caught(GetParam()); }

std::string name_of(const testing::TestParamInfo<support::MistakeCase>& info) {
  return info.param.name;
}
INSTANTIATE_TEST_SUITE_P(Bench, SlowMistake, testing::ValuesIn(kMistakes), name_of);

}  // namespace
