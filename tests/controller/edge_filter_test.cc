#include "controller/edge_filter.h"

#include <gtest/gtest.h>

#include "tests/controller/fake_hardware.h"

namespace {

using controller::EdgeFilter;

/// Dwell 3.3 ms: half of it is 1650 us.
struct Beam {
  EdgeFilter filter = controller::edge_filter_for(test::row_config());
  sillion_output out{};
  sillion_health health{};

  bool edge(std::uint32_t at_ticks, std::uint32_t now_ticks, std::uint8_t rising = 1) {
    out.event_count = 0;
    controller::Report report{out, health, now_ticks};
    return controller::accept_edge(filter, {at_ticks, rising, {}}, report);
  }
  bool edge(std::uint32_t at_ticks) { return edge(at_ticks, at_ticks + 10); }
};

TEST(EdgeFilter, ChatterWithinHalfADwellIsOneSeed) {
  Beam beam;
  EXPECT_TRUE(beam.edge(100'000));
  EXPECT_FALSE(beam.edge(100'300));
  EXPECT_FALSE(beam.edge(101'649));
  EXPECT_EQ(beam.out.events[0].code, static_cast<std::uint32_t>(SILLION_EVENT_EDGE_REJECTED));
  EXPECT_EQ(beam.out.events[0].a, 1649);
  EXPECT_TRUE(beam.edge(101'650));
  EXPECT_EQ(beam.health.edges_accepted, 2u);
  EXPECT_EQ(beam.health.edges_rejected, 2u);
}

// The second seed of a double at 5 % of 150 mm comes 3.75 ms later at 2 m/s: it counts as a seed.
TEST(EdgeFilter, SecondSeedCloseBehindIsTaken) {
  Beam beam;
  EXPECT_TRUE(beam.edge(100'000));
  EXPECT_TRUE(beam.edge(103'750));
}

TEST(EdgeFilter, FallingEdgesAreNoSeeds) {
  Beam beam;
  EXPECT_FALSE(beam.edge(100'000, 100'010, 0));
  EXPECT_EQ(beam.health.edges_rejected, 0u);
}

TEST(EdgeFilter, WorksAcrossTheWrap) {
  Beam beam;
  EXPECT_TRUE(beam.edge(0xffffff00u, 0xffffff10u));
  EXPECT_FALSE(beam.edge(0x00000100u, 0x00000110u));  // 512 us later
  EXPECT_TRUE(beam.edge(0x00000600u, 0x00000610u));   // 1792 us later
}

TEST(EdgeFilter, BadStampsAreRejected) {
  Beam beam;
  EXPECT_FALSE(beam.edge(200'000, 100'000));  // from the future
  EXPECT_FALSE(beam.edge(100'000, 160'000));  // 60 ms old
  EXPECT_TRUE(beam.edge(200'000, 200'000));
  EXPECT_FALSE(beam.edge(190'000, 200'001));  // before the last one
  EXPECT_EQ(beam.health.edges_rejected, 3u);
}

// An edge of one whole counter range ago (71.6 min) must not look like chatter.
TEST(EdgeFilter, OldEdgesAreForgotten) {
  Beam beam;
  EXPECT_TRUE(beam.edge(100'000));
  controller::forget_old_edge(beam.filter, 100'000 + 1'000'001);
  EXPECT_TRUE(beam.edge(100'500));
}

// 1000 edges, one every 100 us: at most one per half dwell gets through.
TEST(EdgeFilter, StormIsThinned) {
  Beam beam;
  for (std::uint32_t i = 0; i < 1000; ++i) beam.edge(100'000 + i * 100);
  EXPECT_LE(beam.health.edges_accepted, 100'000u / 1650u + 1u);
  EXPECT_EQ(beam.health.edges_accepted + beam.health.edges_rejected, 1000u);
}

}  // namespace
