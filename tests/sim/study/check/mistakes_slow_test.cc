// Mistakes of tests/support/mistakes.cmake that show only after hours in the field, or whose
// scenarios take seconds of work each.
#include <gtest/gtest.h>

#include "tests/support/mistakes.h"

namespace {

constexpr support::MistakeCase kMistakes[] = {
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
};

class SlowMistake : public testing::TestWithParam<support::MistakeCase> {};

TEST_P(SlowMistake, IsToldApartByItsScenario) { support::expect_caught(GetParam()); }

std::string name_of(const testing::TestParamInfo<support::MistakeCase>& info) {
  return info.param.name;
}
INSTANTIATE_TEST_SUITE_P(Bench, SlowMistake, testing::ValuesIn(kMistakes), name_of);

}  // namespace
