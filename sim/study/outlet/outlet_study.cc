#include "sim/study/outlet/outlet_study.h"

#include <fmt/format.h>
#include <oneapi/tbb/parallel_for.h>

#include <algorithm>
#include <cmath>
#include <mutex>

#include "sim/bench/row_fixed.h"
#include "sim/scenario/loader.h"
#include "sim/study/outlet/outlet_choice.h"
#include "sim/study/outlet/pulse_record.h"
#include "sim/study/outlet/wall_materials.h"
#include "sim/study/tune/tune.h"

namespace sim::outlet {
namespace {

constexpr std::array kBores_ratio = {0.7, 0.8, 0.9, 1.0, 1.1, 1.2, 1.35, 1.5};
constexpr std::array kTubeBores_ratio = {0.5, 0.75, 1.0};
constexpr std::array kTubeLengths_ratio = {0.75, 1.0, 1.5};
constexpr std::array kHoseBores_ratio = {0.75, 1.0};

// Values around the stated one, rounded to a tenth of a millimetre (a length: to a centimetre); the
// stated value itself is not rounded.
template <std::size_t N>
std::vector<double> around(const std::vector<double>& asked_m, double stated_m, double steps_pm,
                           const std::array<double, N>& shares_ratio) {
  if (!asked_m.empty()) return asked_m;
  std::vector<double> list_m;
  for (const double share_ratio : shares_ratio) {
    const double at_m =
        share_ratio == 1.0
            ? stated_m
            : static_cast<double>(std::llround(stated_m * share_ratio * steps_pm)) / steps_pm;
    if (at_m > 0.0 && (list_m.empty() || at_m > list_m.back())) list_m.push_back(at_m);
  }
  return list_m;
}

std::vector<std::string> walls_or(const std::vector<std::string>& asked, bool all_by_default) {
  if (!asked.empty()) return asked;
  std::vector<std::string> walls{std::string(kWallAsStated)};
  for (const WallMaterial& material : kWallMaterials)
    if (all_by_default && material.by_default) walls.emplace_back(material.name);
  return walls;
}

OutletAxes filled(const OutletPart& stated, const OutletAxes& axes) {
  constexpr double kTenths_pm = 1e4, kCentimetres_pm = 1e2;
  return {
      .bores_m = around(axes.bores_m, stated.bore_m, kTenths_pm, kBores_ratio),
      .tube_bores_m = around(axes.tube_bores_m, stated.tube_bore_m, kTenths_pm, kTubeBores_ratio),
      .tube_lengths_m =
          around(axes.tube_lengths_m, stated.tube_length_m, kCentimetres_pm, kTubeLengths_ratio),
      .hose_bores_m = around(axes.hose_bores_m, stated.hose_bore_m, kTenths_pm, kHoseBores_ratio),
      .hose_lengths_m =
          around(axes.hose_lengths_m, stated.hose_length_m, kCentimetres_pm, std::array{1.0}),
      .tube_walls = walls_or(axes.tube_walls, true),
      .hose_walls = walls_or(axes.hose_walls, false)};
}

// The jet of a steady flow, by the same function that measures a pass.
measure::JetFigures jet_of(const scenario::Scenario& scenario, double flow_m3ps) {
  const model::Outlet& outlet = scenario.attachment.outlet;
  const double jet_m2 =
      outlet.discharge_coefficient_ratio * 0.25 * shared::kPi_ratio * outlet.bore_m * outlet.bore_m;
  measure::RowRecord second;
  second.applied_volume_m3 = flow_m3ps;
  second.jet_speed_sum_mps = flow_m3ps / jet_m2 * flow_m3ps;
  return measure::jet_figures(std::array{second}, scenario);
}

double jet_margin_ratio(const measure::JetFigures& jet, const model::Outlet& outlet, bool guided) {
  const double drip_ratio =
      std::isfinite(jet.least_jetting_speed_mps)
          ? jet.speed_mps * outlet.discharge_coefficient_ratio / jet.least_jetting_speed_mps
          : HUGE_VAL;
  const bool reaches_seed = jet.may_move_seed && !guided;
  return reaches_seed ? std::min(drip_ratio, 1.0 / jet.thrust_over_seed_weight_ratio) : drip_ratio;
}

std::vector<double> each_hertz(int step) {
  std::vector<double> rates_hz;
  for (int f = 10; f <= 90; f += step) rates_hz.push_back(f);
  return rates_hz;
}

void require_full_physics(const scenario::Scenario& scenario) {
  if (scenario.row.physics == scenario::RowPhysics::kIdeal)
    throw text::InputError(
        scenario.name +
        ": row.physics: an ideal row has no outlet to choose; nearest valid value: "
        "\"full\"");
}

/// The part of the whole work that one loop takes, for the progress line.
struct Stretch {
  double from_ratio = 0.0;
  double to_ratio = 1.0;
};

template <typename Work>
void for_each_of(std::size_t count, const OutletOptions& options, const Stretch& stretch,
                 const Work& work) {
  std::atomic<std::size_t> done{0};
  std::mutex progress;
  oneapi::tbb::parallel_for(std::size_t{0}, count, [&](std::size_t k) {
    if (options.stop != nullptr && *options.stop) throw bench::Interrupted("interrupted");
    work(k);
    const double done_ratio =
        static_cast<double>(done.fetch_add(1) + 1) / static_cast<double>(count);
    if (!options.on_progress) return;
    const std::lock_guard lock(progress);
    options.on_progress(stretch.from_ratio + done_ratio * (stretch.to_ratio - stretch.from_ratio));
  });
}

double held_pressure_pa(const scenario::Scenario& scenario, double wanted_pa) {
  return std::max(wanted_pa, scenario.supply.pressure_min_pa);
}

void look_closely(OutletResult& result, const OutletOptions& options, const Stretch& stretch) {
  std::vector<std::size_t> closely;
  for (std::size_t k = 0; k < result.candidates.size(); ++k)
    if (result.candidates[k].pareto || (k == result.stated && result.candidates[k].pulsed))
      closely.push_back(k);
  const std::vector<double> rates_hz =
      options.close_rates_hz.empty() ? each_hertz(1) : options.close_rates_hz;
  for_each_of(closely.size(), options, stretch, [&](std::size_t k) {
    OutletCandidate& one = result.candidates[closely[k]];
    one.pulses = found_or_pulsed(with_part(result.scenario, one.part),
                                 held_pressure_pa(result.scenario, one.pressure_pa), rates_hz,
                                 options.ledger);
    one.looked_at_closely = true;
    judge_demands(result.scenario, one);
  });
}

}  // namespace

std::vector<OutletPart> outlet_parts(const scenario::Scenario& scenario, const OutletAxes& axes) {
  const OutletPart stated = part_of(scenario);
  const OutletAxes grid = filled(stated, axes);
  std::vector<OutletPart> parts;
  for (const double bore_m : grid.bores_m)
    for (const double tube_bore_m : grid.tube_bores_m)
      for (const double tube_length_m : grid.tube_lengths_m)
        for (const double hose_bore_m : grid.hose_bores_m)
          for (const double hose_length_m : grid.hose_lengths_m)
            for (const std::string& tube_wall : grid.tube_walls)
              for (const std::string& hose_wall : grid.hose_walls)
                if (bore_m < tube_bore_m)
                  parts.push_back({bore_m, tube_bore_m, tube_length_m, hose_bore_m, hose_length_m,
                                   tube_wall, hose_wall});
  if (parts.empty())
    throw text::InputError(fmt::format(
        "--bores: none is smaller than a tube's bore; nearest workable: below \"{:.2f} mm\"",
        grid.tube_bores_m.back() * 1e3));
  if (parts.size() > kMostCandidates)
    throw text::InputError(
        fmt::format("--bores: {} parts to judge with the other lists; at most {}", parts.size(),
                    kMostCandidates));
  return parts;
}

OutletCandidate judge_part(const scenario::Scenario& scenario, const OutletPart& part,
                           const OutletOptions& options) {
  OutletCandidate one{.part = part};
  const scenario::Scenario made = with_part(scenario, part);
  const scenario::AttachmentSection& attachment = made.attachment;
  const double speed_mps = tune::judged_speed_mps(made);
  const double wanted_m3ps = made.rate.in_band_m3pm2 * made.row.width_m * speed_mps;
  one.changes = changes_between(part, part_of(scenario));
  one.wave_speeds = tube_wave_speeds(scenario, part);
  one.wave_speed_mps = attachment.tube.wave_speed_mps;
  const model::RowUnitParams row = bench::nominal_liquid_path(made);
  one.largest_flow_m3ps =
      model::steady_flow_m3ps(row, made.supply.pressure_pa, row.valve.plunger.travel_m);
  one.pressure_pa = tune::pressure_for_flow_pa(made, wanted_m3ps);
  const bool passes = one.largest_flow_m3ps >= wanted_m3ps;
  one.pressure_ratio = passes ? made.supply.pressure_pa / one.pressure_pa : 0.0;
  one.plugging_ratio = part.bore_m / options.strainer.opening_m;
  one.jet = jet_of(made, std::min(wanted_m3ps, one.largest_flow_m3ps));
  one.jet_margin_ratio = jet_margin_ratio(one.jet, attachment.outlet, attachment.guided);
  if (passes) {
    const std::vector<double> rates_hz =
        options.rates_hz.empty() ? each_hertz(5) : options.rates_hz;
    one.pulses =
        found_or_pulsed(made, held_pressure_pa(made, one.pressure_pa), rates_hz, options.ledger);
    one.pulsed = true;
  }
  one.full = fullness(made, {one.pulses.void_at_rest_m3, one.pulses.void_of_train_m3},
                      {std::max(1e-12, std::min(wanted_m3ps, one.largest_flow_m3ps)), speed_mps},
                      options.assumed);
  judge_demands(made, one);
  return one;
}

OutletResult run_outlet_study(const scenario::Scenario& scenario, const OutletOptions& options) {
  require_full_physics(scenario);
  OutletResult result{
      .scenario = scenario, .assumed = options.assumed, .strainer = options.strainer};
  result.speed_mps = tune::judged_speed_mps(scenario);
  result.flow_m3ps = scenario.rate.in_band_m3pm2 * scenario.row.width_m * result.speed_mps;
  std::vector<OutletPart> parts = outlet_parts(scenario, options.axes);
  const OutletPart stated = part_of(scenario);
  const auto there = std::find_if(parts.begin(), parts.end(), [&](const OutletPart& part) {
    return changes_between(part, stated) == 0;
  });
  result.stated = static_cast<std::size_t>(there - parts.begin());
  if (there == parts.end()) parts.push_back(stated);

  result.candidates.resize(parts.size());
  constexpr double kShareOfGrid_ratio = 0.7;
  for_each_of(parts.size(), options, {0.0, kShareOfGrid_ratio}, [&](std::size_t k) {
    result.candidates[k] = judge_part(scenario, parts[k], options);
  });
  choose(result);
  look_closely(result, options, {kShareOfGrid_ratio, 1.0});
  choose(result, Field::kLookedAtClosely);
  if (result.recommended < 0) result.nearest_workable = nearest_workable(result);
  return result;
}

}  // namespace sim::outlet
