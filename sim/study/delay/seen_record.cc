#include "sim/study/delay/seen_record.h"

#include <fmt/format.h>

#include "sim/output/hash.h"
#include "sim/output/plain_bytes.h"
#include "sim/study/run/seal.h"
#include "sim/study/tune/kept_text.h"

namespace sim::delay {

std::string condition_key(const scenario::Scenario& scenario, const DelayCondition& condition,
                          const sillion_attachment_table& table) {
  const auto& [speed_mps, rate_m3pm2, temperature_k, voltage_v, spacing_m, rng_key, seeds, pass,
               pressure_ratio, believed_pas] = condition;
  return output::short_hash_hex(
      run::inputs_hash(scenario) + run::parameter_text(scenario, {.table = table}) +
      tune::words_of(table) +
      fmt::format("\ncondition {:a} {:a} {:a} {:a} {:a} {} {} {} {:a} {:a}", speed_mps, rate_m3pm2,
                  temperature_k, voltage_v, spacing_m, rng_key, seeds, pass, pressure_ratio,
                  believed_pas));
}

std::string seen_bytes(const SeenCondition& seen) {
  const auto& [condition, flow_m3ps, viscosity_pas, bands, rows, jet_speed_mps] = seen;
  output::PlainWriter out;
  out.put(condition);
  out.put(flow_m3ps);
  out.put(viscosity_pas);
  out.put_list(bands);
  out.put_list(rows);
  out.put(jet_speed_mps);
  return std::move(out.bytes);
}

std::optional<SeenCondition> seen_from(std::string_view bytes) {
  try {
    output::PlainReader in(bytes);
    SeenCondition seen;
    in.get(seen.condition);
    in.get(seen.flow_m3ps);
    in.get(seen.viscosity_pas);
    in.get_list(seen.bands);
    in.get_list(seen.rows);
    in.get(seen.jet_speed_mps);
    in.end();
    return seen;
  } catch (const output::Damaged&) {
    return {};
  }
}

output::LedgerOwner delay_owner(const scenario::Scenario& scenario) {
  const output::RunHashes hashes = run::input_hashes(scenario);
  return {.study = output::short_hash_hex("delay " + hashes.scenario),
          .controller = hashes.controller,
          .program = hashes.program};
}

}  // namespace sim::delay
