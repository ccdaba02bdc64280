// Corrections, law of the delay, edges and lowest rate at their limits: each exactly at it, one
// below and one above.
#include <gtest/gtest.h>

#include "controller/corrections.h"
#include "controller/delay_law.h"
#include "controller/edge_filter.h"
#include "controller/lowest_rate.h"
#include "tests/controller/fake_hardware.h"

namespace {

using namespace controller;

/// 800 us at the first point, -200 at the second; lags 100 and 0.
sillion_correction between(std::int32_t first, std::int32_t second) {
  sillion_correction correction{};
  correction.points = 2;
  correction.at[0] = first;
  correction.at[1] = second;
  correction.lead_us[0] = 800;
  correction.lead_us[1] = -200;
  correction.lag_us[0] = 100;
  return correction;
}

// The ends belong to the range; beyond them the end's value holds, and is said to be held.
TEST(CorrectionBounds, TheEndsAreInside) {
  const sillion_correction voltage = between(11'000, 13'000);
  for (const std::int32_t at : {10'999, 11'000})
    EXPECT_EQ(shift_at(voltage, at).lead_us, 800) << at;
  for (const std::int32_t at : {13'000, 13'001})
    EXPECT_EQ(shift_at(voltage, at).lead_us, -200) << at;
  EXPECT_TRUE(shift_at(voltage, 10'999).held);
  EXPECT_FALSE(shift_at(voltage, 11'000).held);
  EXPECT_FALSE(shift_at(voltage, 11'001).held);
  EXPECT_FALSE(shift_at(voltage, 13'000).held);
  EXPECT_TRUE(shift_at(voltage, 13'001).held);
  // 1000 us over 2000 mV: 2 mV from either end are 1 us.
  EXPECT_EQ(shift_at(voltage, 11'002).lead_us, 799);
  EXPECT_EQ(shift_at(voltage, 12'998).lead_us, -199);
}

TEST(CorrectionBounds, OnePointHoldsOnBothSides) {
  sillion_correction one = between(500, 0);
  one.points = 1;
  for (const std::int32_t at : {499, 500, 501}) {
    EXPECT_EQ(shift_at(one, at).lead_us, 800) << at;
    EXPECT_EQ(shift_at(one, at).lag_us, 100) << at;
    EXPECT_EQ(shift_at(one, at).held, at != 500) << at;
  }
}

// A correction has 0 to 4 points (SILLION_CORRECTION_POINTS). A fifth would lie in the leads, and
// these rise here like points.
TEST(CorrectionBounds, MorePointsThanThereIsRoomForAreRefused) {
  sillion_correction many[2] = {};
  for (int k = 0; k < SILLION_CORRECTION_POINTS; ++k) {
    many[0].at[k] = k + 1;
    many[0].lead_us[k] = k + 5;
  }
  for (const std::int32_t points : {0, 1, 3, 4}) {
    many[0].points = points;
    EXPECT_TRUE(usable(many[0])) << points;
  }
  for (const std::int32_t points : {-1, 5}) {
    many[0].points = points;
    EXPECT_FALSE(usable(many[0])) << points;
  }
}

/// CRC-32 of ISO 3309, bit by bit: reflected, polynomial 0xEDB88320, begun and ended with ones.
std::uint32_t crc_of(const void* bytes, std::size_t count) {
  std::uint32_t crc = 0xffff'ffffu;
  for (std::size_t k = 0; k < count; ++k) {
    crc ^= static_cast<const unsigned char*>(bytes)[k];
    for (int bit = 0; bit < 8; ++bit) crc = (crc >> 1) ^ ((crc & 1u) != 0 ? 0xedb8'8320u : 0u);
  }
  return ~crc;
}

// The sum covers the members before it; opening_us, the last of these, only where it is stated. It
// does not cover itself.
TEST(CorrectionBounds, TheSumOfATableEndsBeforeItself) {
  EXPECT_EQ(crc_of("123456789", 9), 0xcbf4'3926u);  // the standard's check value
  sillion_attachment_table table = test::row_config().attachment;
  for (const std::uint32_t stated : {0u, 0xabcd'1234u}) {
    table.check_sum = stated;
    table.opening_us[7] = 0;
    EXPECT_EQ(check_sum_of(table), crc_of(&table, offsetof(sillion_attachment_table, opening_us)));
    table.opening_us[7] = 2500;
    EXPECT_EQ(check_sum_of(table), crc_of(&table, offsetof(sillion_attachment_table, check_sum)));
  }
}

// No sample of the supply: nothing is known, nothing is added, although 0 mV lies beyond the end.
TEST(CorrectionBounds, WithoutASampleTheSupplyAddsNothing) {
  sillion_config config = test::row_config();
  config.attachment.voltage = between(11'000, 13'000);
  Corrections state;
  EXPECT_EQ(voltage_lead_us(state, config.attachment), 0);
  sillion_output out{};
  sillion_health health{};
  Report report{out, health, 0};
  EXPECT_EQ(shift_now(state, config, report).lead_us, 0);
  EXPECT_EQ(out.event_count, 0u);
  state.supply_q6_mv = 1;
  EXPECT_EQ(voltage_lead_us(state, config.attachment), 800);
  EXPECT_EQ(shift_now(state, config, report).lead_us, 800);
  ASSERT_EQ(out.event_count, 1u);
  EXPECT_EQ(out.events[0].a, SILLION_CORRECTS_VOLTAGE);
}

// A viscosity of 0 is not known; the least that can be entered, 1e-6 Pa s, is.
TEST(CorrectionBounds, TheLeastViscosityCounts) {
  sillion_config config = test::row_config();
  config.attachment.viscosity = between(1000, 50'000);
  for (const std::int32_t viscosity : {0, 1, 2}) {
    config.liquid_viscosity_upas = viscosity;
    Corrections state;
    sillion_output out{};
    sillion_health health{};
    Report report{out, health, 0};
    const Shift shift = shift_now(state, config, report);
    EXPECT_EQ(shift.lead_us, viscosity == 0 ? 0 : 800) << viscosity;
    EXPECT_EQ(shift.lag_us, viscosity == 0 ? 0 : 100) << viscosity;
    ASSERT_EQ(out.event_count, viscosity == 0 ? 0u : 1u);
    if (viscosity == 0) continue;
    EXPECT_EQ(out.events[0].a, SILLION_CORRECTS_VISCOSITY);
    EXPECT_EQ(out.events[0].b, viscosity);
  }
}

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

// A steady delay has no ramp in it: 5 m at 0.05 m/s are 100 s, the smallest ramp would move them.
TEST(DelayBounds, TheSteadyDelayIsSteady) {
  DelayLaw law{.delivery_us = 24'000, .path_um = 5'000'000, .band_um = 50'000, .lead_us = 4000};
  EXPECT_EQ(steady_delay_us(law, 50'000), 24'000 + 100'000'000 - 4000);
  // On for 1 s + 4 ms; 2.004 s are wanted: half of the missing second before it.
  law.shortest_on_us = 2'004'000;
  EXPECT_EQ(steady_delay_us(law, 50'000), 24'000 + 100'000'000 - 4000 - 500'000);
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
}

}  // namespace
