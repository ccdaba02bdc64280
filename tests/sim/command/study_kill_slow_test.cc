// Studies that are killed at a hundred instants, and go on to the bytes of one that nobody killed.
#include <gtest/gtest.h>

#include "tests/support/killed_study.h"

namespace {

TEST(StudyKill, ASweepGoesOnFromAnyInstantToTheSameBytes) {
  support::kill_and_resume_sweep("[\"40 s\", \"70 s\"]", {.kills = 100, .fresh_after = 5});
}

TEST(StudyKill, ADelayStudyGoesOnFromAnyInstantToTheSameBytes) {
  support::kill_and_resume_delay({.kills = 30, .fresh_after = 5});
}

TEST(StudyKill, AnOutletStudyGoesOnFromAnyInstantToTheSameBytes) {
  support::kill_and_resume_outlet({.kills = 20, .fresh_after = 5});
}

}  // namespace
