// Steady flow of the whole chain and the lift verdict (model/row/row_unit.h): static, no step is
// taken.
//
//   p - rho g (rise of both lines) = R Q + T(Q) + seat drop(x, Q) + Ko Q^2 + bo Q, R = laminar
//   friction of both lines, T = what turbulence adds: solved as a quadratic in Q with T(Q)/Q of the
//   last guess; each guess moves half the way until it stands still (T/Q grows no faster than Q^2)
//   plunger at rest: F(i, x) = F0 + k x + (A_s - c_f 2 Cd cos(alpha) A(x)) drop(x)
//   The lift follows the current only where the right side rises with x faster than F does, for
//   every lift at the current that holds the plunger there: k must exceed the largest sum of the
//   fall of its last term and of dF/dx at that current (0 by the linear law).
#include <cmath>

#include "model/fluid/line.h"
#include "model/fluid/orifice.h"
#include "model/fluid/turbulence.h"
#include "model/row/row_unit.h"
#include "model/valve/solenoid.h"
#include "shared/check.h"

namespace model {

double steady_flow_m3ps(const RowUnitParams& params, double supply_pressure_pa, double lift_m) {
  EXPECTS(supply_pressure_pa >= 0.0 && lift_m >= 0.0);
  if (lift_m == 0.0) return 0.0;
  const SeatPlan<double> seat = make_seat_plan(params.valve.seat, params.liquid);
  const OutletPlan<double> outlet = make_outlet_plan(params.outlet, params.liquid);
  const double x_m = min_of(lift_m, seat.most_lift_m);
  const double gap_m2 = seat.rim_m * x_m;
  const double square_pas2pm6 = seat.loss_kgpm3 / (gap_m2 * gap_m2) + outlet.loss_pas2pm6;
  const double line_paspm3 = laminar_resistance_paspm3(params.hose, params.liquid) +
                             laminar_resistance_paspm3(params.tube, params.liquid) +
                             outlet.laminar_paspm3 + seat.half_laminar_pas / (gap_m2 * x_m);
  const double pressure_pa = supply_pressure_pa - params.liquid.density_kgpm3 *
                                                      shared::kStandardGravity_mps2 *
                                                      (params.hose.rise_m + params.tube.rise_m);
  if (pressure_pa <= 0.0) return 0.0;
  const auto flow_of = [&](double resistance_paspm3) {
    return 2.0 * pressure_pa /
           (resistance_paspm3 +
            std::sqrt(resistance_paspm3 * resistance_paspm3 + 4.0 * square_pas2pm6 * pressure_pa));
  };
  double flow_m3ps = flow_of(line_paspm3);
  for (int pass = 0; pass < 200; ++pass) {
    const double stir_pa = turbulent_drop_pa(params.hose, params.liquid, flow_m3ps) +
                           turbulent_drop_pa(params.tube, params.liquid, flow_m3ps);
    if (stir_pa == 0.0) break;
    const double next_m3ps = 0.5 * (flow_m3ps + flow_of(line_paspm3 + stir_pa / flow_m3ps));
    const bool stands = std::abs(next_m3ps - flow_m3ps) <= 1e-15 * flow_m3ps;
    flow_m3ps = next_m3ps;
    if (stands) break;
  }
  return flow_m3ps;
}

LiftVerdict lift_verdict(const RowUnitParams& params, double supply_pressure_pa) {
  EXPECTS(supply_pressure_pa >= 0.0);
  constexpr int kPoints = 2000;  // the steepest fall is spread over a tenth of the travel or more
  const SeatPlan<double> seat = make_seat_plan(params.valve.seat, params.liquid);
  const double travel_m = params.valve.plunger.travel_m;
  const Plunger& plunger = params.valve.plunger;
  const PullGrowth growth(params.valve.coil);
  double needed_npm = 0.0, magnet_npm = 0.0;
  double before_n = seat.area_m2 * supply_pressure_pa;
  for (int i = 1; i <= kPoints; ++i) {
    const double lift_m = travel_m * i / kPoints;
    const double flow_m3ps = steady_flow_m3ps(params, supply_pressure_pa, lift_m);
    const double force_n = seat_force_n(seat, lift_m, seat_drop_pa(seat, lift_m, flow_m3ps));
    const double fall_npm = (before_n - force_n) * kPoints / travel_m;
    const double middle_m = travel_m * (i - 0.5) / kPoints;
    const double pull_n =
        plunger.preload_n + plunger.spring_rate_npm * middle_m + 0.5 * (before_n + force_n);
    const double grows_npm = growth.at_npm(pull_n, middle_m);
    if (fall_npm + grows_npm > needed_npm) {
      needed_npm = fall_npm + grows_npm;
      magnet_npm = grows_npm;
    }
    before_n = force_n;
  }
  const double rate_npm = plunger.spring_rate_npm;
  return {.settable = rate_npm > needed_npm,
          .spring_rate_needed_npm = needed_npm,
          .magnet_npm = magnet_npm,
          .spring_rate_npm = rate_npm};
}

}  // namespace model
