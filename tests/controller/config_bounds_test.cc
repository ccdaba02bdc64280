// Every bound of a configuration at its last good value and one beyond it. The bounds are the
// firmware's own promise (abi.cc, set_point_table.cc, corrections.cc); the limits of pressure and
// flow are those of shared/row_frames.h: 100 bar and 0.5 l/s.
#include <gtest/gtest.h>

#include <cstdint>
#include <vector>

#include "controller/corrections.h"
#include "controller/set_point_table.h"
#include "tests/controller/fake_hardware.h"

namespace {

using Field = void (*)(sillion_config& config, std::int32_t value);

struct Bound {
  const char* name;
  Field set;
  std::int32_t least;
  std::int32_t most;
};

bool starts(const sillion_config& config) {
  std::vector<std::uint64_t> memory(sillion_describe(config.role)->memory_bytes / 8 + 1);
  return sillion_init(memory.data(), memory.size() * 8, &config, nullptr, 0, nullptr, 0) != nullptr;
}

bool starts_with(const Bound& bound, std::int32_t value) {
  sillion_config config = test::row_config();
  config.rows = 64;
  bound.set(config, value);
  return starts(config);
}

template <typename T>
void put(T& member, std::int32_t value) {
  member = static_cast<T>(value);
}

const Bound kBounds[] = {
    {"rows", [](auto& c, auto v) { put(c.rows, v); }, 1, 64},
    {"row", [](auto& c, auto v) { put(c.row, v); }, 0, 63},
    {"row_y_mm", [](auto& c, auto v) { put(c.row_y_mm, v); }, -50'000, 50'000},
    {"row_width_um", [](auto& c, auto v) { put(c.row_width_um, v); }, 1, 5'000'000},
    {"spacing", [](auto& c, auto v) { put(c.theoretical_spacing_um, v); }, 1, 10'000'000},
    {"band_length", [](auto& c, auto v) { put(c.band_length_um, v); }, 1, 2'000'000},
    {"in_band_rate", [](auto& c, auto v) { put(c.in_band_rate_nm, v); }, 0, 100'000},
    {"trim", [](auto& c, auto v) { put(c.trim_um, v); }, -500'000, 500'000},
    {"seed_dwell", [](auto& c, auto v) { put(c.seed_dwell_us, v); }, 0, 1'000'000},
    {"speed_timeout", [](auto& c, auto v) { put(c.speed_timeout_ms, v); }, 1, 10'000},
    {"speed_lag", [](auto& c, auto v) { put(c.speed_lag_ms, v); }, 0, 5'000},
    {"meter", [](auto& c, auto v) { put(c.meter_mm3_per_pulse, v); }, 0, 1'000'000},
    {"pressure_max", [](auto& c, auto v) { put(c.pressure_max_pa, v); }, 0, 10'000'000},
    {"viscosity", [](auto& c, auto v) { put(c.liquid_viscosity_upas, v); }, 0, 10'000'000},
    {"a", [](auto& c, auto v) { put(c.attachment.delay_time_us, v); }, -5'000'000, 5'000'000},
    {"b", [](auto& c, auto v) { put(c.attachment.delay_distance_um, v); }, -5'000'000, 5'000'000},
    {"B0", [](auto& c, auto v) { put(c.attachment.reference_band_um, v); }, 0, 2'000'000},
    {"T0", [](auto& c, auto v) { put(c.attachment.reference_lead_us, v); }, -1'000'000, 1'000'000},
    {"shortest_on", [](auto& c, auto v) { put(c.attachment.shortest_on_us, v); }, 0, 1'000'000},
    {"closed", [](auto& c, auto v) { put(c.attachment.shortest_closed_us, v); }, 0, 1'000'000},
    // The table below: first point, flow and pressure rise to those of the second.
    {"flow 0", [](auto& c, auto v) { put(c.attachment.flow_mm3ps[0], v); }, 1, 19'999},
    {"flow 1", [](auto& c, auto v) { put(c.attachment.flow_mm3ps[1], v); }, 4'001, 500'000},
    {"pressure 0", [](auto& c, auto v) { put(c.attachment.pressure_pa[0], v); }, 0, 500'000},
    {"pressure 1", [](auto& c, auto v) { put(c.attachment.pressure_pa[1], v); }, 20'000,
     10'000'000},
    {"current", [](auto& c, auto v) { put(c.attachment.current_ma[1], v); }, 0, 100'000},
    {"lead", [](auto& c, auto v) { put(c.attachment.lead_us[1], v); }, -1'000'000, 1'000'000},
    {"lag", [](auto& c, auto v) { put(c.attachment.lag_us[1], v); }, -1'000'000, 1'000'000},
    {"opening", [](auto& c, auto v) { put(c.attachment.opening_us[1], v); }, 0, 1'000'000},
};

TEST(ConfigBounds, TheLastGoodValueIsTakenAndTheNextRefused) {
  for (const Bound& bound : kBounds) {
    EXPECT_TRUE(starts_with(bound, bound.least)) << bound.name;
    EXPECT_FALSE(starts_with(bound, bound.least - 1)) << bound.name;
    EXPECT_TRUE(starts_with(bound, bound.most)) << bound.name;
    EXPECT_FALSE(starts_with(bound, bound.most + 1)) << bound.name;
  }
}

TEST(ConfigBounds, ANullConfigurationIsRefused) {
  std::vector<std::uint64_t> memory(4096);
  EXPECT_EQ(sillion_init(memory.data(), memory.size() * 8, nullptr, nullptr, 0, nullptr, 0),
            nullptr);
}

TEST(ConfigBounds, ExactlyTheMemoryThatWasAskedForIsEnough) {
  const sillion_config config = test::row_config();
  const std::size_t bytes = sillion_describe(SILLION_ROLE_ROW)->memory_bytes;
  std::vector<std::uint64_t> memory(bytes / 8 + 1);
  EXPECT_NE(sillion_init(memory.data(), bytes, &config, nullptr, 0, nullptr, 0), nullptr);
  EXPECT_EQ(sillion_init(memory.data(), bytes - 1, &config, nullptr, 0, nullptr, 0), nullptr);
}

sillion_correction four_points() {
  sillion_correction correction{};
  correction.points = 4;
  for (int i = 0; i < 4; ++i) correction.at[i] = 1000 * (i + 1);
  return correction;
}

TEST(ConfigBounds, OfACorrection) {
  EXPECT_TRUE(controller::usable(four_points()));
  sillion_correction changed = four_points();
  changed.points = -1;
  EXPECT_FALSE(controller::usable(changed));
  changed.points = 5;
  EXPECT_FALSE(controller::usable(changed));
  changed = four_points();
  changed.at[3] = changed.at[2];
  EXPECT_FALSE(controller::usable(changed)) << "two points at one place";
  for (const bool lead : {true, false}) {
    for (const std::int32_t end : {-100'000, 100'000}) {
      changed = four_points();
      std::int32_t& shift = lead ? changed.lead_us[3] : changed.lag_us[3];
      shift = end;
      EXPECT_TRUE(controller::usable(changed)) << end;
      shift += end > 0 ? 1 : -1;
      EXPECT_FALSE(controller::usable(changed)) << shift;
    }
  }
}

TEST(ConfigBounds, ATableIsRefusedWithABadCorrection) {
  for (sillion_correction sillion_attachment_table::* one :
       {&sillion_attachment_table::voltage, &sillion_attachment_table::viscosity,
        &sillion_attachment_table::rest}) {
    sillion_attachment_table table = test::row_config().attachment;
    for (std::int32_t& factor : table.viscosity_pressure_q12) factor = 4096;
    table.*one = four_points();
    EXPECT_TRUE(controller::usable(table));
    (table.*one).at[1] = 0;
    EXPECT_FALSE(controller::usable(table));
  }
}

// The factor of the pressure is a share in 1/4096: 0 is no pressure, and 2^20 is 256 times.
TEST(ConfigBounds, OfTheFactorOfThePressure) {
  for (int i = 0; i < 4; ++i) {
    sillion_attachment_table table = test::row_config().attachment;
    table.viscosity = four_points();
    for (std::int32_t& factor : table.viscosity_pressure_q12) factor = 4096;
    for (const std::int32_t good : {1, 1'048'576}) {
      table.viscosity_pressure_q12[i] = good;
      EXPECT_TRUE(controller::usable(table)) << i;
    }
    for (const std::int32_t bad : {0, 1'048'577}) {
      table.viscosity_pressure_q12[i] = bad;
      EXPECT_FALSE(controller::usable(table)) << i;
    }
  }
}

// Three points of a root law: between the second and the third, at 20 000 mm3/s,
// (400 - 144)/(576 - 144) = 0.5926 of the way from 180 to 720 kPa is 500 kPa; times are linear:
// 8/12 of the way from 6000 to 9000 us is 8000 us.
TEST(ConfigBounds, ALongerTableIsReadBetweenItsLaterPoints) {
  sillion_attachment_table table = test::row_config().attachment;
  table.points = 3;
  const std::int32_t flows_mm3ps[] = {4'000, 12'000, 24'000};
  const std::int32_t pressures_pa[] = {20'000, 180'000, 720'000};
  const std::int32_t leads_us[] = {4'000, 6'000, 9'000};
  for (int i = 0; i < 3; ++i) {
    table.flow_mm3ps[i] = flows_mm3ps[i];
    table.pressure_pa[i] = pressures_pa[i];
    table.lead_us[i] = leads_us[i];
  }
  EXPECT_EQ(controller::set_point_for(table, 20'000).pressure_pa, 500'000);
  EXPECT_EQ(controller::set_point_for(table, 20'000).lead_us, 8'000);
  EXPECT_EQ(controller::set_point_for(table, 12'000).pressure_pa, 180'000);
  EXPECT_NEAR(controller::flow_at_pressure_mm3ps(table, 500'000), 20'000, 1);
  EXPECT_EQ(controller::flow_at_pressure_mm3ps(table, 180'000), 12'000);
  // 60/160 of the way from (4000)^2 to (12000)^2: 16e6 + 48e6 = (8000)^2.
  EXPECT_NEAR(controller::flow_at_pressure_mm3ps(table, 80'000), 8'000, 1);
}

// Between 3000 and 4000 upas, a quarter of the way: lead -100 + 0.25 * 400 = 0, lag 40 + 0.25 * 40
// = 50 us. The pressure's factor there is 1.5 + 0.25 * 0.5 = 1.625.
TEST(ConfigBounds, ALongerCorrectionIsReadBetweenItsLaterPoints) {
  sillion_config config = test::row_config();
  sillion_correction& viscosity = config.attachment.viscosity;
  viscosity = four_points();
  viscosity.lead_us[2] = -100;
  viscosity.lead_us[3] = 300;
  viscosity.lag_us[2] = 40;
  viscosity.lag_us[3] = 80;
  for (std::int32_t& factor : config.attachment.viscosity_pressure_q12) factor = 4096;
  config.attachment.viscosity_pressure_q12[2] = 6144;
  config.attachment.viscosity_pressure_q12[3] = 8192;
  config.liquid_viscosity_upas = 3250;
  controller::Corrections state;
  sillion_output out{};
  sillion_health health{};
  controller::Report report{out, health, 0};
  const controller::Shift shift = shift_now(state, config, report);
  EXPECT_EQ(shift.lead_us, 0);
  EXPECT_EQ(shift.lag_us, 50);
  EXPECT_EQ(controller::pressure_today_pa(config, 100'000), 162'500);
  EXPECT_EQ(out.event_count, 0u);
  EXPECT_EQ(controller::shift_at(viscosity, 3000).lead_us, -100);
}

// A viscosity outside the table is told once, with its kind and value.
TEST(ConfigBounds, AViscosityOutsideIsHeldAndTold) {
  sillion_config config = test::row_config();
  config.attachment.viscosity = four_points();
  config.attachment.viscosity.lead_us[3] = 70;
  config.liquid_viscosity_upas = 9000;
  controller::Corrections state;
  sillion_output out{};
  sillion_health health{};
  controller::Report report{out, health, 0};
  EXPECT_EQ(shift_now(state, config, report).lead_us, 70);
  EXPECT_EQ(shift_now(state, config, report).lead_us, 70);
  ASSERT_EQ(out.event_count, 1u);
  EXPECT_EQ(out.events[0].code, std::uint32_t{SILLION_EVENT_CORRECTION_HELD});
  EXPECT_EQ(out.events[0].a, SILLION_CORRECTS_VISCOSITY);
  EXPECT_EQ(out.events[0].b, 9000);
}

}  // namespace
