#include "tests/support/method_of_lines.h"

// Odeint's dense output wants these helpers declared before it.
#include <boost/numeric/odeint/util/bind.hpp>
#include <boost/numeric/odeint/util/unwrap_reference.hpp>

#include <boost/numeric/odeint/stepper/dense_output_runge_kutta.hpp>
#include <boost/numeric/odeint/stepper/generation.hpp>
#include <boost/numeric/odeint/stepper/runge_kutta_dopri5.hpp>

#include "tests/support/lines_driver.h"

namespace support {

LinesRun run_method_of_lines(const model::RowUnitParams& params, double supply_pressure_pa,
                             double supply_voltage_v, std::span<const OnOff> pulses, double end_s,
                             const LinesSetup& setup, bool with_trace) {
  RowEquations row(params, supply_pressure_pa, supply_voltage_v, setup);
  const auto system = [&row](const State& y, State& rate, double time_s) { row(y, rate, time_s); };
  auto stepper = boost::numeric::odeint::make_dense_output(
      setup.tolerance_ratio, setup.tolerance_ratio,
      boost::numeric::odeint::runge_kutta_dopri5<State>());
  return run_lines(row, stepper, system, params.valve.plunger, pulses, end_s, setup, with_trace);
}

model::BandShape band_of(std::span<const OutletSample> outlet, const model::RowUnitParams& row,
                         double from_s, double to_s, double ground_speed_mps,
                         const model::JetAim& aim) {
  const double dribble_mps = model::dribble_speed_mps(row.liquid, row.outlet);
  std::vector<model::Parcel> parcels;
  for (const OutletSample& sample : outlet) {
    if (sample.time_s < from_s || sample.time_s >= to_s || !(sample.volume_m3 > 0.0)) continue;
    parcels.push_back(
        {.x_ground_m = ground_speed_mps * sample.time_s +
                       model::jet_reach_m(sample.jet_speed_mps, ground_speed_mps, aim),
         .volume_m3 = sample.volume_m3,
         .dribble = sample.jet_speed_mps < dribble_mps,
         .secondary = false});
  }
  return model::band_shape(parcels);
}

}  // namespace support
