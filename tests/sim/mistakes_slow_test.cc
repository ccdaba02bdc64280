// Mistakes of tests/support/mistakes.cmake that show only after hours in the field.
#include <gtest/gtest.h>

#include "tests/support/mistakes.h"

namespace {

constexpr support::MistakeCase kMistakes[] = {
    {"number_wrapped", "long, two hours", "bad_frames at most"},
};

class SlowMistake : public testing::TestWithParam<support::MistakeCase> {};

TEST_P(SlowMistake, IsToldApartByItsScenario) { support::expect_caught(GetParam()); }

std::string name_of(const testing::TestParamInfo<support::MistakeCase>& info) {
  return info.param.name;
}
INSTANTIATE_TEST_SUITE_P(Bench, SlowMistake, testing::ValuesIn(kMistakes), name_of);

}  // namespace
