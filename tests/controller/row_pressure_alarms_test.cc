// Alarms of a row that rest on the pressure at its hose and on the rise of its flow.
#include <gtest/gtest.h>

#include <vector>

#include "controller/lowest_rate.h"
#include "controller/row_alarms.h"
#include "tests/controller/fake_hardware.h"

namespace {

using controller::AlarmInputs;
using controller::Report;
using controller::RowAlarms;

/// A row at work for longer than the second in which nothing is judged, called every ms.
class Row {
 public:
  explicit Row(std::uint32_t mm3_per_pulse) {
    config_.meter_mm3_per_pulse = mm3_per_pulse;
    config_.row = 2;
    now_.at_work = true;
    now_.set_pa = 400'000;
    now_.pressure_pa = 400'000;
    now_.speed_umps = 4'000'000;
    run(1002);
  }
  void run(int ms) {
    for (int k = 0; k < ms; ++k) {
      ticks_ += 1000;
      sillion_output out{};
      sillion_health health{};
      Report report{out, health, ticks_};
      judge_alarms(alarms_, config_, now_, report);
      for (std::uint32_t e = 0; e < out.event_count; ++e) events_.push_back(out.events[e]);
    }
  }
  AlarmInputs& now() { return now_; }
  std::uint32_t raised() const { return alarms_.raised; }
  const std::vector<sillion_event_record>& events() const { return events_; }

 private:
  sillion_config config_ = test::row_config();
  RowAlarms alarms_;
  AlarmInputs now_;
  std::uint32_t ticks_ = 0;
  std::vector<sillion_event_record> events_;
};

// Below a quarter of 400 kPa for 300 ms, not for 299; at a quarter the line is in order.
TEST(RowPressureAlarms, AnEmptyLineIsToldAfter300Ms) {
  Row row(0);
  row.now().pressure_pa = 99'999;
  row.run(299);
  EXPECT_EQ(row.raised(), 0u);
  row.run(1);
  EXPECT_EQ(row.raised(), std::uint32_t{SILLION_ALARM_EMPTY_LINE});
  ASSERT_EQ(row.events().size(), 1u);
  EXPECT_EQ(row.events()[0].code, std::uint32_t{SILLION_EVENT_ALARM});
  EXPECT_EQ(row.events()[0].b, 2);
  row.run(100'000);
  EXPECT_EQ(row.events().size(), 1u) << "told once, however long it lasts";
  row.now().pressure_pa = 100'000;
  row.run(1);
  EXPECT_EQ(row.raised(), 0u);
  row.now().pressure_pa = 99'999;
  row.run(299);
  EXPECT_EQ(row.raised(), 0u) << "the 300 ms begin anew";
}

TEST(RowPressureAlarms, WithoutASetPointNoLineIsEmpty) {
  Row row(0);
  row.now().set_pa = 0;
  row.now().pressure_pa = -1;
  row.run(1000);
  EXPECT_TRUE(row.events().empty());
}

// No pressure explains why no flow comes: the alarm of the flow is over when the line is empty, and
// not judged while it is on its way there.
TEST(RowPressureAlarms, AnEmptyLineTakesTheAlarmOfTheFlowAway) {
  Row row(50);
  row.now().band_us = 1000;
  row.now().should_be_mm3ps = 20'000;
  row.run(1000);
  ASSERT_EQ(row.raised(), std::uint32_t{SILLION_ALARM_NO_FLOW});
  row.now().pressure_pa = 0;
  row.run(299);
  EXPECT_EQ(row.raised(), std::uint32_t{SILLION_ALARM_NO_FLOW}) << "what stands is left alone";
  row.run(1);
  EXPECT_EQ(row.raised(), std::uint32_t{SILLION_ALARM_EMPTY_LINE});
  row.run(5000);
  EXPECT_EQ(row.raised(), std::uint32_t{SILLION_ALARM_EMPTY_LINE}) << "flow is not judged";
}

// Worn above 10 % of rise and again in order at 8 % (lowest_rate.h), in 1/65536. At 4 m/s the table
// lays 4e-6/(0.762 * 4) m = 1312 nm; 10 % more are 1443.
TEST(RowPressureAlarms, WearIsToldWithTheRateThatIsLeft) {
  Row row(50);
  row.now().rise_q16 = controller::kWornQ16;
  row.run(1);
  EXPECT_EQ(row.raised(), 0u);
  row.now().rise_q16 = controller::kWornQ16 + 1;
  row.run(2);
  EXPECT_EQ(row.raised(), std::uint32_t{SILLION_ALARM_WORN});
  ASSERT_EQ(row.events().size(), 2u);
  EXPECT_EQ(row.events()[0].code, std::uint32_t{SILLION_EVENT_LOWEST_RATE});
  EXPECT_NEAR(row.events()[0].a, 1443, 2);
  EXPECT_NEAR(row.events()[0].b, 1312, 1);
  EXPECT_EQ(row.events()[1].a, SILLION_ALARM_WORN);
  row.now().rise_q16 = controller::kWornOverQ16 + 1;
  row.run(2);
  EXPECT_EQ(row.raised(), std::uint32_t{SILLION_ALARM_WORN});
  EXPECT_EQ(row.events().size(), 2u) << "the rate is told once";
  row.now().rise_q16 = controller::kWornOverQ16;
  row.run(1);
  EXPECT_EQ(row.raised(), 0u);
}

}  // namespace
