#include "controller/report.h"

#include <gtest/gtest.h>

namespace {

TEST(Report, EventsBeyondTheCallsShareAreDropped) {
  sillion_output out{};
  sillion_health health{};
  controller::Report report{out, health, 77};
  for (int i = 0; i < 100; ++i) report.event(SILLION_EVENT_MERGED, i);
  EXPECT_EQ(out.event_count, static_cast<std::uint32_t>(SILLION_EVENTS_MAX));
  EXPECT_EQ(out.events[7].a, 7);
  EXPECT_EQ(out.events[7].at_ticks, 77u);
}

TEST(Report, ANumberThatAnEventDoesNotStateIsZero) {
  sillion_output out{};
  sillion_health health{};
  controller::Report report{out, health, 0};
  report.event(SILLION_EVENT_BAD_FRAME, 5);
  report.event(SILLION_EVENT_SPEED_STALE);
  EXPECT_EQ(out.events[0].b, 0);
  EXPECT_EQ(out.events[1].a, 0);
  EXPECT_EQ(out.events[1].b, 0);
}

}  // namespace
