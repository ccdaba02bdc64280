#include "controller/corrections.h"

#include <algorithm>

#include "controller/ticks.h"
#include "shared/check_sum.h"

namespace controller {
namespace {

constexpr std::int32_t kMostShiftUs = 100'000;
constexpr std::int32_t kPlainQ12 = 4096;
constexpr std::int64_t kMeanOf = 64;  // samples of the supply, one per tick of 1 ms

std::int32_t between(std::int32_t low, std::int32_t high, std::int64_t part, std::int64_t whole) {
  return static_cast<std::int32_t>(low + divide_rounded((std::int64_t{high} - low) * part, whole));
}

/// The point below `at` and the part of the way to the next one; both end values hold outside.
struct Place {
  std::int32_t low = 0;
  std::int64_t part = 0;
  std::int64_t whole = 1;
  bool held = false;
};

Place place_of(const sillion_correction& correction, std::int32_t at) {
  const std::int32_t last = correction.points - 1;
  if (at <= correction.at[0]) return {0, 0, 1, at < correction.at[0]};
  if (at >= correction.at[last]) return {last, 0, 1, at > correction.at[last]};
  std::int32_t low = 0;
  while (correction.at[low + 1] < at) ++low;
  return {low, std::int64_t{at} - correction.at[low],
          std::int64_t{correction.at[low + 1]} - correction.at[low], false};
}

std::int32_t value_at(const std::int32_t* values, const Place& place) {
  if (place.part == 0) return values[place.low];
  return between(values[place.low], values[place.low + 1], place.part, place.whole);
}

std::int32_t pressure_q12(const sillion_config& config) {
  const sillion_correction& viscosity = config.attachment.viscosity;
  if (viscosity.points == 0 || config.liquid_viscosity_upas == 0) return kPlainQ12;
  return value_at(config.attachment.viscosity_pressure_q12,
                  place_of(viscosity, config.liquid_viscosity_upas));
}

void tell(bool held, bool& told, sillion_correction_kind kind, std::int32_t value, Report& report) {
  if (held && !told) report.event(SILLION_EVENT_CORRECTION_HELD, kind, value);
  told = held;
}

void take_words(shared::CheckSum& sum, const std::int32_t* words, std::size_t count) {
  for (std::size_t k = 0; k < count; ++k) sum.take_word(static_cast<std::uint32_t>(words[k]));
}

void take_correction(shared::CheckSum& sum, const sillion_correction& correction) {
  take_words(sum, &correction.points, 1);
  take_words(sum, correction.at, SILLION_CORRECTION_POINTS);
  take_words(sum, correction.lead_us, SILLION_CORRECTION_POINTS);
  take_words(sum, correction.lag_us, SILLION_CORRECTION_POINTS);
}

}  // namespace

bool usable(const sillion_correction& correction) {
  if (correction.points < 0 || correction.points > SILLION_CORRECTION_POINTS) return false;
  for (std::int32_t i = 0; i < correction.points; ++i) {
    if (i > 0 && correction.at[i] <= correction.at[i - 1]) return false;
    if (correction.lead_us[i] < -kMostShiftUs || correction.lead_us[i] > kMostShiftUs) return false;
    if (correction.lag_us[i] < -kMostShiftUs || correction.lag_us[i] > kMostShiftUs) return false;
  }
  return true;
}

bool states_opening(const sillion_attachment_table& table) {
  return std::any_of(table.opening_us, table.opening_us + SILLION_TABLE_POINTS,
                     [](std::int32_t us) { return us != 0; });
}

std::uint32_t check_sum_of(const sillion_attachment_table& table) {
  shared::CheckSum sum;
  const std::int32_t law[] = {table.delay_time_us, table.delay_distance_um, table.reference_band_um,
                              table.reference_lead_us, table.points};
  take_words(sum, law, std::size(law));
  for (const std::int32_t* column :
       {table.flow_mm3ps, table.pressure_pa, table.current_ma, table.lead_us, table.lag_us})
    take_words(sum, column, SILLION_TABLE_POINTS);
  const std::int32_t limits[] = {table.shortest_on_us, table.shortest_closed_us,
                                 table.lift_settable, table.evidence_grade};
  take_words(sum, limits, std::size(limits));
  take_correction(sum, table.voltage);
  take_correction(sum, table.viscosity);
  take_words(sum, table.viscosity_pressure_q12, SILLION_CORRECTION_POINTS);
  take_correction(sum, table.rest);
  if (states_opening(table)) take_words(sum, table.opening_us, SILLION_TABLE_POINTS);
  return sum.value();
}

Shift shift_at(const sillion_correction& correction, std::int32_t at) {
  if (correction.points == 0) return {};
  const Place place = place_of(correction, at);
  return {value_at(correction.lead_us, place), value_at(correction.lag_us, place), place.held};
}

void take_supply(Corrections& state, std::uint16_t counts, std::uint32_t analog_bits,
                 std::int32_t full_scale_mv) {
  const std::int64_t most = (std::int64_t{1} << analog_bits) - 1;
  const std::int64_t sample_mv = divide_rounded(std::int64_t{counts} * full_scale_mv, most);
  if (state.supply_q6_mv == 0) {
    state.supply_q6_mv = sample_mv * kMeanOf;
  } else {
    state.supply_q6_mv += sample_mv - state.supply_q6_mv / kMeanOf;
  }
}

std::int32_t voltage_lead_us(const Corrections& state, const sillion_attachment_table& table) {
  return state.supply_q6_mv > 0 ? shift_at(table.voltage, supply_mv(state)).lead_us : 0;
}

std::int32_t supply_mv(const Corrections& state) { return saturated(state.supply_q6_mv / kMeanOf); }

Shift shift_now(Corrections& state, const sillion_config& config, Report& report) {
  const sillion_attachment_table& table = config.attachment;
  Shift sum;
  if (state.supply_q6_mv > 0) {
    const Shift voltage = shift_at(table.voltage, supply_mv(state));
    tell(voltage.held, state.told_voltage, SILLION_CORRECTS_VOLTAGE, supply_mv(state), report);
    sum.lead_us += voltage.lead_us;
    sum.lag_us += voltage.lag_us;
  }
  if (config.liquid_viscosity_upas > 0) {
    const Shift viscosity = shift_at(table.viscosity, config.liquid_viscosity_upas);
    tell(viscosity.held, state.told_viscosity, SILLION_CORRECTS_VISCOSITY,
         config.liquid_viscosity_upas, report);
    sum.lead_us += viscosity.lead_us;
    sum.lag_us += viscosity.lag_us;
  }
  return sum;
}

std::int32_t pressure_today_pa(const sillion_config& config, std::int32_t table_pa) {
  return saturated(divide_rounded(std::int64_t{table_pa} * pressure_q12(config), kPlainQ12));
}

std::int32_t pressure_in_table_pa(const sillion_config& config, std::int32_t today_pa) {
  return saturated(divide_rounded(std::int64_t{today_pa} * kPlainQ12, pressure_q12(config)));
}

}  // namespace controller
