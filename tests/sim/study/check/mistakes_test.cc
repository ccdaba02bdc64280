// Every mistake of tests/support/mistakes.cmake, in the scenario of the pull-request suite that is
// meant to catch it, beside the reference. The mistakes that show only after seconds of work or an
// hour in the field are in mistakes_slow_test.cc; ten more run through a small suite and `explain`
// in faulty_controllers_test.cc.
#include <gtest/gtest.h>

#include "tests/support/mistakes.h"

namespace {

constexpr support::MistakeCase kMistakes[] = {
    {"voltage_deaf", "table, battery empty", "placement_error_mean at most"},
    {"viscosity_turned", "table, thick liquid", "placement_error_mean at most"},
    {"check_sum_short", "table, charging", ""},
    {"frame_old", "still, saw/0.1 s", "placement_error_p50 at most"},
    {"ageless", "still, speed lost for long", "no_band at least"},
    {"lag_of_speed_lost", "still, saw/0.1 s", "placement_error_p50 at most"},
    {"never_stale", "still, speed lost for long", "no_band at least"},
    {"way_back", "still, timed belt", "band_length_mean at most"},
    {"late_given_up", "table, late", "no_band at most"},
    {"never_merged", "still, no time to close", "merged at least"},
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
    {"no_flow_deaf", "row, alarm of no flow", "no-flow alarm within 2200 ms of edge"},
    {"opening_deaf", "row, low voltage trimmed", "placement_error_mean at most"},
    {"one_copy_lost", "still, power cut in a write", "no_band at most"},
};

class Mistake : public testing::TestWithParam<support::MistakeCase> {};

TEST_P(Mistake, IsToldApartByItsScenario) { support::expect_caught(GetParam()); }

std::string name_of(const testing::TestParamInfo<support::MistakeCase>& info) {
  return info.param.name;
}
INSTANTIATE_TEST_SUITE_P(Bench, Mistake, testing::ValuesIn(kMistakes), name_of);

}  // namespace
