#include "sim/bench/signal_events.h"

#include <algorithm>
#include <iterator>
#include <span>

#include "sim/scenario/temporal_rule.h"

namespace sim::bench {
namespace {

/// Notes spans from an event of one code to the next of the other; open ones end with the pass.
void note_between(const std::vector<TimedEvent>& events, std::uint32_t begins, std::uint32_t ends,
                  scenario::OnOff signal, measure::RowSignals& signals) {
  double from_s = -1.0;
  for (const TimedEvent& event : events) {
    if (event.record.code == begins && from_s < 0.0) from_s = event.at.seconds();
    if (event.record.code != ends || from_s < 0.0) continue;
    measure::note_on(signals, signal, from_s, event.at.seconds());
    from_s = -1.0;
  }
  if (from_s >= 0.0) measure::note_on(signals, signal, from_s, signals.until_s);
}

struct StandingAlarm {
  std::uint32_t alarm;
  scenario::OnOff signal;
};
constexpr StandingAlarm kOfRows[] = {
    {SILLION_ALARM_NO_SEEDS, scenario::OnOff::kNoSeeds},
    {SILLION_ALARM_NO_FLOW, scenario::OnOff::kNoFlow},
    {SILLION_ALARM_LOW_FLOW, scenario::OnOff::kLowFlow},
    {SILLION_ALARM_HIGH_FLOW, scenario::OnOff::kHighFlow},
    {SILLION_ALARM_SLOW_VALVE, scenario::OnOff::kSlowValve},
    {SILLION_ALARM_EMPTY_LINE, scenario::OnOff::kEmptyLine},
    {SILLION_ALARM_WORN, scenario::OnOff::kWorn},
};
constexpr StandingAlarm kOfMachine[] = {
    {SILLION_ALARM_SECOND_REGULATOR, scenario::OnOff::kSecondRegulator},
};

/// Notes spans from where a controller raises each alarm to where it says that it is over.
void note_standing(const std::vector<TimedEvent>& events, std::span<const StandingAlarm> alarms,
                   measure::RowSignals& signals) {
  for (const StandingAlarm& one : alarms) {
    std::vector<TimedEvent> own;
    std::copy_if(events.begin(), events.end(), std::back_inserter(own),
                 [&](const TimedEvent& event) {
                   return event.record.a == static_cast<std::int32_t>(one.alarm);
                 });
    note_between(own, SILLION_EVENT_ALARM, SILLION_EVENT_ALARM_OVER, one.signal, signals);
  }
}

bool is_alarm(std::uint32_t code) {
  switch (code) {
    case SILLION_EVENT_QUEUE_OVERFLOW:
    case SILLION_EVENT_SPEED_STALE:
    case SILLION_EVENT_LATE_FIRING:
    case SILLION_EVENT_NOT_RESOLVABLE:
    case SILLION_EVENT_RATE_OUT_OF_RANGE:
    case SILLION_EVENT_BAD_FRAME:
    case SILLION_EVENT_NEGATIVE_DELAY:
    case SILLION_EVENT_CORRECTION_HELD:
    case SILLION_EVENT_CONFIG_BAD_COPY:
    case SILLION_EVENT_CONFIG_LOST:
    case SILLION_EVENT_STORAGE_FAILED: return true;
    default: return false;
  }
}

}  // namespace

bool states_signals(const scenario::Scenario& scenario) {
  return std::any_of(scenario.requirements.begin(), scenario.requirements.end(),
                     [](const scenario::Requirement& one) {
                       return one.rule.form != scenario::TemporalForm::kNone;
                     });
}

void note_events(const scenario::Scenario& scenario, const SeedWay& way,
                 const std::vector<TimedEvent>& events, measure::RowSignals& signals) {
  for (const EdgePair& edge : way.edges)
    measure::note_on(signals, scenario::OnOff::kEdge, edge.rising_s, edge.rising_s);
  for (const scenario::FaultEntry& fault : scenario.faults)
    if (scenario::hides_speed(fault) && fault.from_s < signals.until_s)
      measure::note_on(signals, scenario::OnOff::kSpeedLost, fault.from_s,
                       std::min(fault.until_s, signals.until_s));
  note_between(events, SILLION_EVENT_SPEED_STALE, SILLION_EVENT_SPEED_BACK,
               scenario::OnOff::kSpeedStale, signals);
  note_between(events, SILLION_EVENT_SAFE_CLOSED, SILLION_EVENT_SAFE_OVER,
               scenario::OnOff::kSafeClosed, signals);
  for (const TimedEvent& event : events)
    if (is_alarm(event.record.code))
      measure::note_on(signals, scenario::OnOff::kAlarm, event.at.seconds(), event.at.seconds());
  note_standing(events, kOfRows, signals);
}

void note_machine_events(const std::vector<TimedEvent>& events, measure::RowSignals& signals) {
  note_standing(events, kOfMachine, signals);
}

}  // namespace sim::bench
