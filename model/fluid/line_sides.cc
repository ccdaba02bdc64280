#include "model/fluid/line_sides.h"

#include <cmath>

#include "model/fluid/wave_speed.h"
#include "model/reproducible_math.h"
#include "shared/check.h"
#include "shared/units.h"

namespace model {
namespace {

int station_nearest_middle(const LinePlan<double>& plan) {
  int best = 0;
  for (int j = 1; j < plan.stations; ++j) {
    const auto away = [&](int station) {
      return std::abs(2 * segment_of(plan, station + 1).first_cell - plan.cells);
    };
    if (away(j) < away(best)) best = j;
  }
  return best;
}

CreepStep<double> make_step(const CreepElement& element, double rest_m3ppa, double step_s) {
  EXPECTS(element.time_s > 0.0 && element.compliance_ppa >= 0.0);
  const double x_ratio = step_s / element.time_s;
  const double less_one_ratio = expm1_of(-x_ratio);  // r - 1
  const double mean_ratio = -less_one_ratio / x_ratio;
  // 1 - (1 - r)/x loses digits where x is small; x/2 - x^2/6 + x^3/24 - x^4/120 is used there.
  const double late_ratio =
      x_ratio < 1e-2
          ? x_ratio * (0.5 - x_ratio * (1.0 / 6.0 - x_ratio * (1.0 / 24.0 - x_ratio / 120.0)))
          : 1.0 - mean_ratio;
  // The two shares of p add up to 1 - r.
  return {.keep_less_one_ratio = less_one_ratio,
          .before_m3ppa = rest_m3ppa * (-less_one_ratio - late_ratio),
          .now_m3ppa = rest_m3ppa * late_ratio,
          .rest_m3ppa = rest_m3ppa};
}

}  // namespace

void add_sides(const Line& line, const LineSetup& setup, LinePlan<double>& plan) {
  plan.clips = setup.cavities;
  plan.liquid_vapour_pa = setup.vapour_pressure_pa;
  if (!line.creep.empty()) {
    EXPECTS(plan.stations > 0 && line.wall.thickness_m > 0.0);
    const double cell_m3 = 0.25 * shared::kPi_ratio * line.bore_m * line.bore_m * line.length_m /
                           (setup.cells + setup.part_cell_ratio);
    const double psi_ratio = wall_psi_ratio(line.bore_m, line.wall);
    for (const CreepElement& element : line.creep)
      plan.creep.push_back(
          make_step(element, cell_m3 * psi_ratio * element.compliance_ppa, setup.step_s));
  }
  if (setup.middle_gas_pam3 > 0.0) {
    EXPECTS(plan.stations > 0 && setup.vapour_pressure_pa < 0.0);
    plan.pocket_pam3 = setup.middle_gas_pam3;
    plan.pocket_station = station_nearest_middle(plan);
  }
  plan.sides = !plan.creep.empty() || plan.pocket_station >= 0;
}

void rest_sides(const LinePlan<double>& plan, LineState<double>& state, std::size_t station,
                double pressure_pa) {
  const double gauge_pa = pressure_pa - station_head_pa(plan, station);
  const auto stations = static_cast<std::size_t>(plan.stations);
  for (std::size_t k = 0; k < plan.creep.size(); ++k)
    state.creep_m3[k * stations + station] =
        plan.weight_ratio[station] * plan.creep[k].rest_m3ppa * gauge_pa;
  state.creep_pressure_pa[station] = gauge_pa;
  if (static_cast<int>(station) == plan.pocket_station)
    state.pocket_m3 = plan.pocket_pam3 / (gauge_pa - plan.liquid_vapour_pa);
}

}  // namespace model
