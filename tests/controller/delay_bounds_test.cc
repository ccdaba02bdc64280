// Law of the delay, odometer, edges and lowest rate at their limits: each exactly at it, one below
// and one above.
#include <gtest/gtest.h>

#include "controller/delay_law.h"
#include "controller/edge_filter.h"
#include "controller/lowest_rate.h"
#include "controller/odometer.h"
#include "controller/ticks.h"
#include "tests/controller/fake_hardware.h"

namespace {

using namespace controller;

// Speeds below 50 mm/s count as 50 mm/s: 1 m takes 20 s.
TEST(DelayBounds, TheSlowestSpeedIs50MillimetresASecond) {
  for (const std::int32_t speed_umps : {INT32_MIN, 0, 49'999, 50'000})
    EXPECT_EQ(travel_time_us(1'000'000, speed_umps, 0), 20'000'000) << speed_umps;
  EXPECT_EQ(travel_time_us(500'010, 50'001, 0), 10'000'000);
}

// No ramp gains or loses more than half the speed on the way: at 0.1 m/s and 5 m/s2 the mean is
// 0.15 m/s, at -5 m/s2 0.05 m/s.
TEST(DelayBounds, ARampGainsAtMostHalfTheSpeed) {
  EXPECT_EQ(travel_time_us(1'000'000, 100'000, 5'000'000), 6'666'667);
  EXPECT_EQ(travel_time_us(1'000'000, 100'000, -5'000'000), 20'000'000);
  EXPECT_EQ(travel_time_us(900'000, 300'000, 5'000'000), 2'000'000);
  EXPECT_EQ(travel_time_us(900'000, 300'000, -5'000'000), 6'000'000);
}

// Two passes from t = r/v: 0.5 m at 1 m/s and 1 m/s2 are 0.5 s, 0.5/1.25 = 0.4 s, 0.5/1.2 s.
TEST(DelayBounds, ARampTakesTwoPasses) {
  EXPECT_EQ(travel_time_us(500'000, 1'000'000, 1'000'000), 416'667);
  // 4 km at 20 m/s and 0.02 m/s2: 200 s, 4 m/s more in it; 4000/22 = 181.818182 s, 3.636363 m/s
  // more; 4e15/21 818 181 (half of that in whole um/s) = 183 333 340.2.
  EXPECT_EQ(travel_time_us(4'000'000'000, 20'000'000, 20'000), 183'333'340);
}

// x = v t + a t^2/2 with v = 4 m/s, a = 0.5 m/s2 at t = -0.1 s: -0.3975 m.
TEST(DelayBounds, ARampRunsBackwardsToo) {
  EXPECT_NEAR(travel_time_us(-397'500, 4'000'000, 500'000), -100'000, 1);
  EXPECT_NEAR(travel_time_us(-402'500, 4'000'000, -500'000), -100'000, 1);
}

// No time of travel is beyond 200 s, at a steady speed and on a ramp: 10 m at 0.05 m/s.
TEST(DelayBounds, TravelEndsAt200Seconds) {
  for (const std::int32_t accel_umps2 : {0, -20'000})
    for (const std::int64_t sign : {1, -1}) {
      const std::int64_t limit_us = 200'000'000 * sign;
      EXPECT_EQ(travel_time_us(sign * 9'950'000, 50'000, 0), sign * 199'000'000);
      // Away from here it brakes, in either direction.
      const std::int32_t slower_umps2 = sign > 0 ? accel_umps2 : -accel_umps2;
      EXPECT_EQ(travel_time_us(sign * 10'000'000, 50'000, slower_umps2), limit_us);
      EXPECT_EQ(travel_time_us(sign * 50'000'000, 50'000, slower_umps2), limit_us);
    }
}

/// 1 m after the edge at 1 m/s, a band of 0.5 m, without lead, lag and shortest time.
constexpr DelayLaw kPlain{.path_um = 1'000'000, .band_um = 500'000};
constexpr RowMotion kOneMps{
    .sequence = {}, .known = true, .measured_ticks = 5'000'000, .speed_umps = 1'000'000};
constexpr Odometer kHere{.place_pm = 0, .at_ticks = 5'000'000};

// Garbage stamps far ahead or behind: up to 400 s, twice the longest travel, an instant stands as
// it is; beyond it is held there, so that the difference of two still fits 32 bits.
TEST(DelayBounds, PlannedInstantsEndAt400Seconds) {
  const auto open_us = [](std::int32_t edge_ahead_us) {
    return firing_of({5'000'000u + static_cast<std::uint32_t>(edge_ahead_us), 0, 0, 0}, kPlain,
                     kHere, kOneMps)
        .open_in_us;
  };
  EXPECT_EQ(open_us(299'000'000), 300'000'000);
  EXPECT_EQ(open_us(398'999'999), 399'999'999);
  EXPECT_EQ(open_us(399'000'000), 400'000'000);
  EXPECT_EQ(open_us(399'000'001), 400'000'000);
  EXPECT_EQ(open_us(1'000'000'000), 400'000'000);
  EXPECT_EQ(open_us(-301'000'000), -300'000'000);
  EXPECT_EQ(open_us(-401'000'000), -400'000'000);
  EXPECT_EQ(open_us(-401'000'001), -400'000'000);
  EXPECT_EQ(open_us(-1'000'000'000), -400'000'000);
}

// The delivery time has passed in the very call in which it ends: from then on the place counts.
TEST(DelayBounds, ASeedIsPlacedWhenItsDeliveryTimeIsOver) {
  DelayLaw law = kPlain;
  law.delivery_us = 24'000;
  const Odometer odometer{.place_pm = 8'000'000, .at_ticks = 5'000'000};
  for (const std::uint32_t early_us : {0u, 1u}) {
    Seed seed{5'000'000 - 24'000 + early_us, 0, 0, 0};
    place_seed(seed, law, odometer, kOneMps);
    EXPECT_EQ(seed.placed, early_us == 0 ? 1u : 0u);
    EXPECT_EQ(seed.reference_8nm, early_us == 0 ? 1000u : 0u);  // 8 um
  }
  // 1 us late at 1 m/s: 1 um before.
  Seed late{5'000'000 - 24'001, 0, 0, 0};
  place_seed(late, law, odometer, kOneMps);
  EXPECT_EQ(late.reference_8nm, 875u);
  // What is placed stays.
  place_seed(late, law, {.place_pm = 16'000'000, .at_ticks = 5'000'100}, kOneMps);
  EXPECT_EQ(late.reference_8nm, 875u);
}

// 16 m behind its place at 1 m/s, a seed with a path of 16 m opens now: the way gone is exact to
// the um, however long.
TEST(DelayBounds, ThePlaceIsExactOverSixteenMetres) {
  DelayLaw law = kPlain;
  law.path_um = 16'000'000;
  const Odometer odometer{.place_pm = 16'000'000'000'000, .at_ticks = 5'000'000};
  EXPECT_EQ(firing_of({5'000'000, 0, 1, 0}, law, odometer, kOneMps).open_in_us, 0);
}

// The odometer takes steps of 1 us to 1 s, both included; a longer one, none and one backwards add
// nothing.
TEST(DelayBounds, TheOdometerTakesStepsUpToASecond) {
  for (const std::int32_t step_us : {-1, 0, 1, 2, 999'999, 1'000'000, 1'000'001}) {
    Odometer odometer = kHere;
    advance(odometer, kOneMps, later(kHere.at_ticks, step_us));
    const bool counts = step_us >= 1 && step_us <= 1'000'000;
    EXPECT_EQ(odometer.place_pm, counts ? std::int64_t{step_us} * 1'000'000 : 0) << step_us;
    EXPECT_EQ(odometer.at_ticks, later(kHere.at_ticks, step_us));
  }
}

// A steady delay has no ramp in it: 5 m at 0.05 m/s are 100 s, the smallest ramp would move them.
TEST(DelayBounds, TheSteadyDelayIsSteady) {
  DelayLaw law{.delivery_us = 24'000, .path_um = 5'000'000, .band_um = 50'000, .lead_us = 4000};
  EXPECT_EQ(steady_delay_us(law, 50'000), 24'000 + 100'000'000 - 4000);
  // On for 1 s + 4 ms; 2.004 s are wanted: half of the missing second before it.
  law.shortest_on_us = 2'004'000;
  EXPECT_EQ(steady_delay_us(law, 50'000), 24'000 + 100'000'000 - 4000 - 500'000);
  // A lag of 3 ms makes it 3 ms shorter, so that 1.5 ms more are missing before it.
  law.lag_us = 3000;
  EXPECT_EQ(steady_delay_us(law, 50'000), 24'000 + 100'000'000 - 4000 - 501'500);
}

struct Edges {
  EdgeFilter filter;
  sillion_health health{};
  sillion_output out{};
  bool accept(std::uint32_t at_ticks, std::uint32_t now_ticks) {
    out = {};
    Report report{out, health, now_ticks};
    return accept_edge(filter, {at_ticks, 1, {}}, report);
  }
};

// Half a dwell of 3300 us; a dwell of 0 or 1 us still wants an edge after the last one.
TEST(EdgeBounds, AnEdgeComesAfterTheLastOne) {
  sillion_config config = test::row_config();
  const auto gap = [&](std::uint32_t dwell_us, std::int32_t gap_us) {
    config.seed_dwell_us = dwell_us;
    Edges edges{.filter = edge_filter_for(config)};
    EXPECT_TRUE(edges.accept(10'000, 10'000));
    return edges.accept(10'000 + static_cast<std::uint32_t>(gap_us), 20'000);
  };
  for (const std::uint32_t dwell_us : {0u, 1u}) {
    EXPECT_FALSE(gap(dwell_us, -1));
    EXPECT_FALSE(gap(dwell_us, 0));
    EXPECT_TRUE(gap(dwell_us, 1));
  }
  EXPECT_FALSE(gap(3300, 1649));
  EXPECT_TRUE(gap(3300, 1650));
}

// Without an accepted edge there is no time since it: the event says 0.
TEST(EdgeBounds, TheEventSaysTheTimeSinceTheLastAcceptedEdge) {
  Edges edges;
  EXPECT_FALSE(edges.accept(1'000'001, 1'000'000));  // from the future
  ASSERT_EQ(edges.out.event_count, 1u);
  EXPECT_EQ(edges.out.events[0].code, static_cast<std::uint32_t>(SILLION_EVENT_EDGE_REJECTED));
  EXPECT_EQ(edges.out.events[0].a, 0);
  EXPECT_TRUE(edges.accept(1'000'000, 1'000'000));
  EXPECT_FALSE(edges.accept(1'000'700, 1'050'701));  // 50.001 ms old
  EXPECT_EQ(edges.out.events[0].a, 700);
  EXPECT_TRUE(edges.accept(1'000'700, 1'050'700));
}

TEST(EdgeBounds, AnEdgeIsForgottenAfterASecond) {
  for (const std::uint32_t age_us : {999'999u, 1'000'000u, 1'000'001u}) {
    EdgeFilter filter{.least_gap_us = 0, .has_last = true, .last_ticks = 5000};
    forget_old_edge(filter, 5000 + age_us);
    EXPECT_EQ(filter.has_last, age_us <= 1'000'000) << age_us;
  }
}

// The lowest rate is that of the lowest flow, with the lead and lag of that flow: shortest on 4 ms,
// - 1 + 3 ms are 6 ms of 4000 mm3/s: 24 mm3 on 10 x 600 mm = 0.006 m2: 4e-6 m3/m2 = 4000 nm. At 4
// m/s the band itself takes 2.5 ms.
TEST(LowestRateBounds, LeadAndLagOfTheLowestFlowCount) {
  sillion_config config = test::row_config();
  config.band_length_um = 10'000;
  config.row_width_um = 600'000;
  sillion_attachment_table& table = config.attachment;
  table.lead_us[0] = 1000;
  table.lead_us[1] = 2500;
  table.lag_us[0] = 3000;
  table.lag_us[1] = 700;
  EXPECT_EQ(lowest_rate(config, 4'000'000, 0).table_nm, 4000);
  // At 1 m/s the band takes 10 ms: 40 mm3.
  EXPECT_EQ(lowest_rate(config, 1'000'000, 0).table_nm, 6667);
  // Standing counts as 50 mm/s: 200 ms, 800 mm3 on 0.006 m2.
  for (const std::int32_t speed_umps : {-1, 0, 50'000})
    EXPECT_EQ(lowest_rate(config, speed_umps, 0).table_nm, 133'333) << speed_umps;
  // 1 m at 1 m/s takes 1 s: 4000 mm3 on 1 m x 1 mm are 4 mm, exact to the nm.
  config.band_length_um = 1'000'000;
  config.row_width_um = 1'000;
  EXPECT_EQ(lowest_rate(config, 1'000'000, 0).table_nm, 4'000'000);
  // The least area: 1 um2 counts as 1000, so that nothing is divided by 0. 1 um at 50 mm/s takes 20
  // us: of 1 mm3/s 2e-5 mm3 on 1e-3 mm2.
  config.band_length_um = config.row_width_um = 1;
  table.flow_mm3ps[0] = 1;
  table.shortest_on_us = table.lead_us[0] = table.lag_us[0] = 0;
  EXPECT_EQ(lowest_rate(config, 0, 0).table_nm, 20'000);
}

}  // namespace
