#include "sim/study/sweep/pass_record.h"

#include "sim/output/plain_bytes.h"

namespace sim::sweep {
namespace {

/// Bytes of a row without seeds and bands: no record of a row is shorter.
constexpr std::size_t kLeastRow_bytes = 64;

// Each function below names every member of its structure: one more does not compile.

void put_signals(const measure::RowSignals& signals, output::PlainWriter& out) {
  const auto& [kept, until_s, on, extremes] = signals;
  out.put(kept);
  out.put(until_s);
  for (const std::vector<measure::OnInterval>& intervals : on) out.put_list(intervals);
  out.put(extremes);
}

void get_signals(output::PlainReader& in, measure::RowSignals& signals) {
  in.get(signals.kept);
  in.get(signals.until_s);
  for (std::vector<measure::OnInterval>& intervals : signals.on) in.get_list(intervals);
  in.get(signals.extremes);
}

void put_row(const measure::RowRecord& row, output::PlainWriter& out) {
  const auto& [first_seed, first_band, seeds, bands, covered, density, closed_s, applied_m3,
               worked_m3, outside_m3, outward_sum_m4, outward_max_m, inlet_m3, residual_m3, air_s,
               dry_s, jet_sum_mps, jet_max_mps, travelled_m, start_x_m, end_x_m, steps, health,
               signals, events, coil] = row;
  out.put(first_seed);
  out.put(first_band);
  out.put_list(seeds);
  out.put_list(bands);
  out.put_list(covered);
  const auto& [from_x_m, cell_m, volume_m3pm] = density;
  out.put(from_x_m);
  out.put(cell_m);
  out.put_list(volume_m3pm);
  for (const double figure :  // tidy: SI, in the order of sim/measure/record.h
       {closed_s, applied_m3, worked_m3, outside_m3, outward_sum_m4, outward_max_m, inlet_m3,
        residual_m3, air_s, dry_s, jet_sum_mps, jet_max_mps, travelled_m, start_x_m, end_x_m})
    out.put(figure);
  out.put(steps);
  out.put(health);
  put_signals(signals, out);
  out.put_list(events);
  const auto& [step_s, current_a, openings] = coil;
  out.put(step_s);
  out.put_list(current_a);
  out.put_list(openings);
}

void get_row(output::PlainReader& in, measure::RowRecord& row) {
  auto& [first_seed, first_band, seeds, bands, covered, density, closed_s, applied_m3, worked_m3,
         outside_m3, outward_sum_m4, outward_max_m, inlet_m3, residual_m3, air_s, dry_s,
         jet_sum_mps, jet_max_mps, travelled_m, start_x_m, end_x_m, steps, health, signals, events,
         coil] = row;
  in.get(first_seed);
  in.get(first_band);
  in.get_list(seeds);
  in.get_list(bands);
  in.get_list(covered);
  auto& [from_x_m, cell_m, volume_m3pm] = density;
  in.get(from_x_m);
  in.get(cell_m);
  in.get_list(volume_m3pm);
  for (double* figure :  // tidy: SI, in the order of sim/measure/record.h
       {&closed_s, &applied_m3, &worked_m3, &outside_m3, &outward_sum_m4, &outward_max_m, &inlet_m3,
        &residual_m3, &air_s, &dry_s, &jet_sum_mps, &jet_max_mps, &travelled_m, &start_x_m,
        &end_x_m})
    in.get(*figure);
  in.get(steps);
  in.get(health);
  get_signals(in, signals);
  in.get_list(events);
  auto& [step_s, current_a, openings] = coil;
  in.get(step_s);
  in.get_list(current_a);
  in.get_list(openings);
}

}  // namespace

std::string pass_bytes(const FinishedPass& pass) {
  const auto& [rows, simulated_s, seen] = pass;
  output::PlainWriter out;
  out.put(simulated_s);
  out.put(seen);
  out.put(static_cast<std::uint64_t>(rows.size()));
  for (const measure::RowRecord& row : rows) put_row(row, out);
  return std::move(out.bytes);
}

std::optional<FinishedPass> pass_from(std::string_view bytes) {
  try {
    output::PlainReader in(bytes);
    FinishedPass pass;
    in.get(pass.simulated_s);
    in.get(pass.seen);
    pass.rows.resize(in.length_of(kLeastRow_bytes));
    for (measure::RowRecord& row : pass.rows) get_row(in, row);
    in.end();
    return pass;
  } catch (const output::Damaged&) {
    return {};
  }
}

}  // namespace sim::sweep
