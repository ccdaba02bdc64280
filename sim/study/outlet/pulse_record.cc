#include "sim/study/outlet/pulse_record.h"

#include <fmt/format.h>

#include "sim/output/hash.h"
#include "sim/output/plain_bytes.h"
#include "sim/study/run/seal.h"

namespace sim::outlet {

std::string pulses_key(const scenario::Scenario& scenario, double pressure_pa,
                       std::span<const double> rates_hz) {
  std::string words = fmt::format("\npulses {:a}", pressure_pa);
  for (const double rate_hz : rates_hz) words += fmt::format(" {:a}", rate_hz);
  return output::short_hash_hex(run::inputs_hash(scenario) + run::parameter_text(scenario, {}) +
                                words);
}

std::string pulses_bytes(const PulseFigures& figures) {
  const auto& [alone, worst, largest_m3, at_rest_m3, of_train_m3, rates] = figures;
  output::PlainWriter out;
  out.put(alone);
  out.put(worst);
  out.put(largest_m3);
  out.put(at_rest_m3);
  out.put(of_train_m3);
  out.put_list(rates);
  return std::move(out.bytes);
}

std::optional<PulseFigures> pulses_from(std::string_view bytes) {
  try {
    output::PlainReader in(bytes);
    PulseFigures figures;
    in.get(figures.alone);
    in.get(figures.worst);
    in.get(figures.largest_void_m3);
    in.get(figures.void_at_rest_m3);
    in.get(figures.void_of_train_m3);
    in.get_list(figures.rates);
    in.end();
    return figures;
  } catch (const output::Damaged&) {
    return {};
  }
}

PulseFigures found_or_pulsed(const scenario::Scenario& scenario, double pressure_pa,
                             std::span<const double> rates_hz, output::Ledger* ledger) {
  if (ledger == nullptr) return pulse_figures(scenario, pressure_pa, rates_hz);
  const std::string key = pulses_key(scenario, pressure_pa, rates_hz);
  if (const std::optional<std::string> record = ledger->find(key, 0))
    if (std::optional<PulseFigures> found = pulses_from(*record)) return *std::move(found);
  PulseFigures figures = pulse_figures(scenario, pressure_pa, rates_hz);
  ledger->keep(key, 0, pulses_bytes(figures));
  return figures;
}

output::LedgerOwner outlet_owner(const scenario::Scenario& scenario) {
  const output::RunHashes hashes = run::input_hashes(scenario);
  return {.study = output::short_hash_hex("outlet " + hashes.scenario),
          .controller = hashes.controller,
          .program = hashes.program};
}

}  // namespace sim::outlet
