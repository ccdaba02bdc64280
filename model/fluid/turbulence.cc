#include "model/fluid/turbulence.h"

#include <cmath>

#include "model/fluid/friction_factor.h"
#include "shared/units.h"

namespace model {
namespace {

// Re = 4 |Q|/(pi D nu)
double reynolds_of_flow_spm3(const Line& line, const Liquid& liquid) {
  return 4.0 * liquid.density_kgpm3 / (shared::kPi_ratio * line.bore_m * liquid.viscosity_pas);
}

double stir_of_length_pa(const Line& line, const Liquid& liquid, double length_m) {
  const double nu_m2ps = liquid.viscosity_pas / liquid.density_kgpm3;
  return liquid.density_kgpm3 * nu_m2ps * nu_m2ps * length_m /
         (2.0 * line.bore_m * line.bore_m * line.bore_m);
}

double signed_drop_pa(double stir_pa, double reynolds_ratio, double flow_m3ps) {
  return std::copysign(stir_pa * turbulence_at(reynolds_ratio).extra_ratio, flow_m3ps);
}

}  // namespace

void add_turbulence(const Line& line, const Liquid& liquid, LinePlan<double>& plan) {
  plan.reynolds_spm3 = reynolds_of_flow_spm3(line, liquid);
  plan.stir_pa =
      stir_of_length_pa(line, liquid, line.length_m / (plan.cells + plan.part_cell_ratio));
  plan.dtau_ratio = liquid.viscosity_pas / liquid.density_kgpm3 * plan.step_s /
                    (0.25 * line.bore_m * line.bore_m);
  const double from_m3ps = 0.8 * kLaminarReynolds_ratio / plan.reynolds_spm3;
  plan.stirred_m6ps2 = from_m3ps * from_m3ps;
  turbulence_at(2.0 * kLaminarReynolds_ratio);  // the tables are made here, not in a step
}

double turbulent_drop_pa(const LinePlan<double>& plan, double flow_m3ps) {
  const double reynolds_ratio = plan.reynolds_spm3 * std::abs(flow_m3ps);
  return reynolds_ratio > kLaminarReynolds_ratio
             ? signed_drop_pa(plan.stir_pa, reynolds_ratio, flow_m3ps)
             : 0.0;
}

double turbulent_drop_pa(const Line& line, const Liquid& liquid, double flow_m3ps) {
  if (liquid.viscosity_pas == 0.0) return 0.0;
  return signed_drop_pa(stir_of_length_pa(line, liquid, line.length_m),
                        reynolds_of_flow_spm3(line, liquid) * std::abs(flow_m3ps), flow_m3ps);
}

}  // namespace model
