// Every mistake of tests/support/mistakes.cmake, in the scenario of the pull-request suite that is
// meant to catch it, beside the reference. The mistakes that show only after seconds of work or an
// hour in the field are in mistakes_slow_test.cc; ten more run through a small suite and `explain`
// in faulty_controllers_test.cc.
#include <gtest/gtest.h>

#include "tests/support/mistakes.h"

namespace {

constexpr support::MistakeCase kMistakes[] = {
    {"voltage_deaf", "table, battery empty", "placement_error_mean at most"},
    {"voltage_slow", "table, voltage falls", "placement_error_abs_p95 at most"},
    {"voltage_raw", "table, voltage ripples", "band_length_sd at most"},
    {"end_not_held", "table, battery empty", "placement_error_mean at most"},
    {"far_end_not_held", "table, thickest liquid", "placement_error_mean at most"},
    {"viscosity_turned", "table, thick liquid", "placement_error_mean at most"},
    {"viscosity_no_lag", "table, thick liquid", "band_length_mean at most"},
    {"pressure_plain", "table, thick liquid", "supply pressure at least while commanded"},
    {"check_sum_short", "table, charging", ""},
    {"rest_turned", "table, longer rest", "placement_error_mean at most"},
    {"rest_deaf", "table, short rest", "placement_error_mean at most"},
    {"rest_of_plain", "table, longer rest", "band_length_mean at least"},
    {"half_lag", "table, battery empty", "band_length_mean at least"},
    {"pressure_straight", "table, flow when slow", "supply pressure at most while commanded"},
    {"lead_in_steps", "table, flow between", "placement_error_mean at least"},
    {"flow_straight", "table, flow between", "band_length_mean at most"},
    {"no_limit", "table, pressure limit", "placement_error_mean at most"},
    {"frame_old", "still, saw/0.1 s", "placement_error_p50 at most"},
    {"ageless", "still, speed lost for long", "no_band at least"},
    {"lag_of_speed_lost", "still, saw/0.1 s", "placement_error_p50 at most"},
    {"never_stale", "still, speed lost for long", "no_band at least"},
    {"way_back", "still, timed belt", "band_length_mean at most"},
    {"late_given_up", "table, late", "no_band at most"},
    {"late_for_ever", "table, too late", "skipped_seeds at least"},
    {"late_untold", "table, late", "late_compares at least"},
    {"one_sided", "table, short band", "placement_error_mean at most"},
    {"shortest_on_deaf", "table, short band", "placement_error_mean at most"},
    {"never_merged", "still, no time to close", "merged at least"},
    {"merged_by_plain", "table, no rest", "late_compares at most"},
    {"no_stream", "still, stream", "field_rate at least"},
    {"standing_deaf", "still, stop and go", "dose_sd at most"},
    {"creeping_shut", "still, creeping", "no_band at most"},
    {"direction_deaf", "still, backwards", "safe_closed_time at least"},
    {"timeout_halved", "still, frames lost", "no_band at most"},
    {"length_deaf", "still, frames cut", "bad_frames at least"},
    {"bad_frames_untold", "still, frames cut", "bad_frames at least"},
    {"dead_time_deaf", "still, edges bounce", "edges_rejected at least"},
    {"rejected_untold", "still, edges bounce", "edges_rejected at least"},
    {"burst_untold", "still, edges burst", "capture_overflows at least"},
    {"power_up_kept", "still, restart by power", "edges_accepted at most"},
    {"kick_forgotten", "still, watchdog", "resets at most"},
    {"safe_time_untold", "still, hold", "safe_closed_time at least"},
};

class Mistake : public testing::TestWithParam<support::MistakeCase> {};

TEST_P(Mistake, IsToldApartByItsScenario) { support::expect_caught(GetParam()); }

std::string name_of(const testing::TestParamInfo<support::MistakeCase>& info) {
  return info.param.name;
}
INSTANTIATE_TEST_SUITE_P(Bench, Mistake, testing::ValuesIn(kMistakes), name_of);

}  // namespace
