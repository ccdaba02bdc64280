// Alarms that stand, as on-off signals: from where a controller raises one to where it says that it
// is over, or to the end of the pass.
#include "sim/bench/signal_events.h"

#include <gtest/gtest.h>

#include "shared/controller_abi.h"

namespace {

using sim::bench::TimedEvent;
using sim::scenario::OnOff;

TimedEvent event_at(std::int64_t at_ms, std::uint32_t code, std::int32_t alarm) {
  TimedEvent event;
  event.at = shared::Instant{} + shared::milliseconds(at_ms);
  event.record.code = code;
  event.record.a = alarm;
  return event;
}

TEST(SignalEvents, AnAlarmStandsUntilItIsSaidToBeOver) {
  sim::measure::RowSignals signals;
  signals.until_s = 9.0;
  sim::bench::note_events({}, {},
                          {event_at(1000, SILLION_EVENT_ALARM, SILLION_ALARM_NO_FLOW),
                           event_at(2000, SILLION_EVENT_ALARM, SILLION_ALARM_WORN),
                           event_at(3500, SILLION_EVENT_ALARM_OVER, SILLION_ALARM_NO_FLOW),
                           event_at(6000, SILLION_EVENT_ALARM, SILLION_ALARM_NO_FLOW)},
                          signals);
  const auto& flow = signals.of(OnOff::kNoFlow);
  ASSERT_EQ(flow.size(), 2u);
  EXPECT_DOUBLE_EQ(flow[0].from_s, 1.0);
  EXPECT_DOUBLE_EQ(flow[0].to_s, 3.5);
  EXPECT_DOUBLE_EQ(flow[1].from_s, 6.0);
  EXPECT_DOUBLE_EQ(flow[1].to_s, 9.0);
  ASSERT_EQ(signals.of(OnOff::kWorn).size(), 1u);
  EXPECT_DOUBLE_EQ(signals.of(OnOff::kWorn)[0].to_s, 9.0);
  EXPECT_TRUE(signals.of(OnOff::kLowFlow).empty());
  EXPECT_TRUE(signals.of(OnOff::kAlarm).empty());  // that signal is what is wrong at an instant
}

TEST(SignalEvents, TheMachinesAlarmStandsOnTheRow) {
  sim::measure::RowSignals signals;
  signals.until_s = 5.0;
  sim::bench::note_machine_events(
      {event_at(2000, SILLION_EVENT_ALARM, SILLION_ALARM_SECOND_REGULATOR),
       event_at(3000, SILLION_EVENT_ALARM, SILLION_ALARM_NO_FLOW)},  // a row's number: not its own
      signals);
  ASSERT_EQ(signals.of(OnOff::kSecondRegulator).size(), 1u);
  EXPECT_DOUBLE_EQ(signals.of(OnOff::kSecondRegulator)[0].from_s, 2.0);
  EXPECT_DOUBLE_EQ(signals.of(OnOff::kSecondRegulator)[0].to_s, 5.0);
  EXPECT_TRUE(signals.of(OnOff::kNoFlow).empty());
}

}  // namespace
