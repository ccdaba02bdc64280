#include "sim/study/outlet/outlet_fullness.h"

#include <algorithm>

#include "model/fluid/bubble_growth.h"
#include "model/fluid/open_meniscus.h"
#include "model/fluid/retention.h"
#include "shared/check.h"

namespace sim::outlet {
namespace {

constexpr double kAtmosphere_pa = shared::kStandardAtmosphere_pa;

double disc_m2(double bore_m) { return 0.25 * shared::kPi_ratio * bore_m * bore_m; }

struct Column {
  const scenario::Scenario& scenario;
  const StandingAssumptions& assumed;
  double hang_m = 0.0;
  bool holds = true;

  const model::Liquid& liquid() const { return scenario.liquid.liquid; }
  double volume_m3() const {
    const model::Line& tube = scenario.attachment.tube;
    return disc_m2(tube.bore_m) * tube.length_m;
  }
  double wall_m2() const {
    const model::Line& tube = scenario.attachment.tube;
    return shared::kPi_ratio * tube.bore_m * tube.length_m;
  }
  /// Absolute pressure at the valve, from which the column hangs.
  double abs_pa() const {
    return kAtmosphere_pa - liquid().density_kgpm3 * shared::kStandardGravity_mps2 * hang_m;
  }
};

double hang_of(const model::Line& tube) {
  if (tube.rise_m == 0.0) return tube.length_m;
  return std::max(0.0, -tube.rise_m);
}

double dried_m3(const Column& column, double time_s) {
  const double temperature_k = column.scenario.liquid.temperature_k;
  const model::OpenMeniscus meniscus{
      .density_kgpm3 = column.liquid().density_kgpm3,
      .vapour_abs_pa = column.liquid().vapour_pressure_abs_pa,
      .air_vapour_abs_pa =
          column.assumed.humidity_ratio * model::water_vapour_pressure_pa(temperature_k),
      .temperature_k = temperature_k};
  return disc_m2(column.scenario.attachment.outlet.bore_m) *
         model::drawn_back_m(0.0, model::drying_m2ps(meniscus), time_s);
}

void add_gas(const Column& column, double warmer_k, StandingVoid& standing) {
  const StandingAssumptions& assumed = column.assumed;
  const double excess_ratio =
      model::excess_gas_ratio(assumed.solubility_ratio, kAtmosphere_pa, column.abs_pa()) +
      assumed.solubility_ratio * assumed.solubility_fall * warmer_k;
  standing.bubble_radius_m =
      model::grown_radius_m(excess_ratio, assumed.gas_diffusivity_m2ps, standing.time_s);
  const double r_m = standing.bubble_radius_m;
  const double grown_m3 =
      assumed.bubbles_pm2 * column.wall_m2() * 4.0 / 3.0 * shared::kPi_ratio * r_m * r_m * r_m;
  standing.gas_m3 = std::min(grown_m3, excess_ratio * column.volume_m3());
}

StandingVoid after(const Column& column, double time_s, double at_rest_m3, const Refill& refill) {
  StandingVoid standing{.time_s = time_s};
  if (column.holds) {
    const double change_k =
        column.assumed.temperature_k * std::min(1.0, time_s / column.assumed.stop_s);
    standing.dried_m3 = dried_m3(column, time_s);
    standing.contracted_m3 = column.assumed.expansion * column.volume_m3() * change_k;
    add_gas(column, change_k, standing);
    standing.void_m3 =
        at_rest_m3 + standing.dried_m3 + std::max(standing.contracted_m3, standing.gas_m3);
  } else {
    standing.void_m3 = column.volume_m3();
  }
  standing.refill_s = standing.void_m3 / refill.flow_m3ps;
  standing.refill_m = standing.refill_s * refill.speed_mps;
  return standing;
}

}  // namespace

Fullness fullness(const scenario::Scenario& scenario, const VoidsAtRest& voids,
                  const Refill& refill, const StandingAssumptions& assumed) {
  EXPECTS(refill.flow_m3ps > 0.0 && refill.speed_mps > 0.0);
  const model::Liquid& liquid = scenario.liquid.liquid;
  const scenario::AttachmentSection& part = scenario.attachment;
  Fullness full;
  full.hang_m = hang_of(part.tube);
  full.widest_bore_m = model::widest_holding_bore_m(liquid);
  full.widest_void_tube_m = model::widest_bubble_holding_bore_m(liquid);
  full.jurin_m = model::jurin_height_m(liquid, part.outlet.bore_m);
  full.tallest_column_m = model::tallest_hanging_column_m(liquid, kAtmosphere_pa);
  full.holds = part.outlet.bore_m <= full.widest_bore_m && full.hang_m < full.tallest_column_m;
  full.void_stays = part.tube.bore_m <= full.widest_void_tube_m;
  const Column column{scenario, assumed, full.hang_m, full.holds};
  full.free_gas_m3 = part.gas_volume_m3 + liquid.gas_ratio * column.volume_m3();
  full.closed = after(column, 0.0, voids.after_pulse_m3, refill);
  full.pass = after(column, assumed.pause_s, voids.after_train_m3, refill);
  full.stop = after(column, assumed.stop_s, voids.after_train_m3, refill);
  return full;
}

}  // namespace sim::outlet
