// The Cortex-M4F build against this machine's over scenarios of every kind, call by call. Where the
// bytes are the same, bands are the same to the last bit: 0 ticks and 0 mm apart.
#include <gtest/gtest.h>

#include <cstdio>

#include "tests/sim/study/check/cortex_m4.h"

namespace {

using test::PartCase;

const PartCase kCases[] = {
    {"demo", "demo.toml", {"duration=1.5 s", "row.count=2"}},
    {"slow", "demo.toml", {"duration=2 s", "row.count=1", "travel.speed=6 km/h"}},
    {"75 mm", "demo.toml", {"duration=1.5 s", "row.count=1", "seeding.spacing=75 mm"}},
    {"curve", "demo_curve.toml", {"duration=1.5 s", "row.count=2"}},
    {"gravity", "demo_gravity.toml", {"duration=1.5 s", "row.count=1"}},
    {"high rate", "demo_high_rate.toml", {"duration=1.5 s", "row.count=1"}},
    {"manifold", "demo_manifold.toml", {"duration=1 s", "row.count=2"}},
    {"marginal", "demo_marginal.toml", {"duration=1.5 s", "row.count=1"}},
    {"network", "demo_network.toml", {"duration=1.5 s", "row.count=2"}},
    {"ramp", "demo_ramp.toml", {"duration=2 s", "row.count=1"}},
    {"recorded drive", "demo_recorded_drive.toml", {"duration=2 s", "row.count=1"}},
    {"flow", "pull_request_flow.toml", {"duration=1.5 s", "row.count=1"}},
    {"row", "pull_request_row.toml", {"duration=1.5 s", "row.count=1"}},
    {"still", "pull_request_still.toml", {"duration=2 s", "row.count=1"}},
    {"valve", "pull_request_valve.toml", {"duration=1.5 s", "row.count=1"}},
    {"stream", "pull_request_still.toml", {"duration=1 s", "row.count=1", "rate.continuous=true"}},
    {"hold",
     "pull_request_still.toml",
     {"duration=1.5 s", "row.count=1", "work.run_times=[\"0.4 s\", \"0.8 s\"]"}},
    {"wrap",
     "pull_request_still.toml",
     {"duration=2 s", "row.count=1", "clock.start_before_wrap=1 s", "clock.drift=50 ppm"}},
    {"watchdog",
     "fault_row.toml",
     {"duration=1.5 s", "row.count=1",
      "fault=[{kind=\"missed_kick\", row=0, from=\"0.5 s\", until=\"0.9 s\"}]"}},
    {"power lost",
     "fault_row.toml",
     {"duration=1.5 s", "row.count=1",
      "fault=[{kind=\"restarted_row\", row=0, from=\"0.5 s\", by=\"50 ms\", cause=\"power\", "
      "retained=\"kept\"}]"}},
    {"bad frames",
     "fault_row.toml",
     {"duration=1.5 s", "row.count=1", "fault=[{kind=\"corrupted_frames\", severity=\"severe\"}]"}},
    {"doubled edges",
     "fault_row.toml",
     {"duration=1.5 s", "row.count=1", "fault=[{kind=\"doubled_edges\", severity=\"severe\"}]"}},
};

TEST(CortexM4Slow, AnswersAsThisMachineOverAllKindsOfScenarios) {
  NEEDS_THE_PART();
  ASSERT_GE(std::size(kCases), 20u);
  for (const PartCase& one : kCases) {
    EXPECT_EQ(test::parting_of(one), "") << one.name;
    const test::PartFigures row = test::part_figures(SILLION_ROLE_ROW);
    std::printf("%-16s largest call of a row so far %u instructions, stack %u bytes\n", one.name,
                row.instructions, row.stack_bytes);
  }
  EXPECT_LE(test::part_figures(SILLION_ROLE_ROW).instructions, test::kMostInstructions);
  EXPECT_LE(test::part_figures(SILLION_ROLE_ROW).stack_bytes, test::kMostStackBytes);
}

}  // namespace
