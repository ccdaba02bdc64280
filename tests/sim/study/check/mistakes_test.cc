// Every mistake of tests/support/mistakes.cmake, in the scenario of the pull-request suite that is
// meant to catch it, beside the reference. In mistakes_slow_test.cc are those that show only after
// seconds of work or an hour in the field, and those beside which a like one stands here; ten more
// run through a small suite and `explain` in faulty_controllers_test.cc.
#include <gtest/gtest.h>

#include "tests/support/mistakes.h"

namespace {

constexpr support::MistakeCase kMistakes[] = {
    {"voltage_deaf", "table, battery empty", "placement_error_mean at most"},
    {"check_sum_short", "table, charging", ""},
    {"frame_old", "still, saw/0.1 s", "placement_error_p50 at most"},
    {"ageless", "still, speed lost for long", "no_band at least"},
    {"lag_of_speed_lost", "still, saw/0.1 s", "placement_error_p50 at most"},
    {"way_back", "still, timed belt", "band_length_mean at most"},
    {"never_merged", "still, no time to close", "merged at least"},
    {"no_stream", "still, stream", "field_rate at least"},
    {"standing_deaf", "still, stop and go", "dose_sd at most"},
    {"creeping_shut", "still, creeping", "no_band at most"},
    {"length_deaf", "still, frames cut", "bad_frames at least"},
    {"dead_time_deaf", "still, edges bounce", "edges_rejected at least"},
    {"one_copy_lost", "still, power cut in a write", "no_band at most"},
};

class Mistake : public testing::TestWithParam<support::MistakeCase> {};

TEST_P(Mistake, IsToldApartByItsScenario) { support::expect_caught(GetParam()); }

std::string name_of(const testing::TestParamInfo<support::MistakeCase>& info) {
  return info.param.name;
}
INSTANTIATE_TEST_SUITE_P(Bench, Mistake, testing::ValuesIn(kMistakes), name_of);

}  // namespace
