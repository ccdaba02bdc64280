#include "sim/study/valve/valve_check.h"

#include "sim/scenario/loader.h"

namespace sim::valve {

TraceReading reading_of(const rig::RigSetup& setup) {
  TraceReading reading;
  reading.supply_v = setup.drive.supply_v;
  reading.decay = setup.drive.decay;
  reading.clamp_v = setup.part.valve.coil.clamp_v;
  reading.diode_v = setup.part.valve.coil.diode_v;
  reading.probe_range_a = setup.bench.probe_range_a;
  reading.coil = setup.part.valve.coil;
  reading.travel_m = setup.part.valve.plunger.travel_m;
  reading.mass_kg = setup.part.valve.plunger.mass_kg;
  reading.density_kgpm3 = setup.liquid.liquid.density_kgpm3;
  return reading;
}

ValveCheck check_model(const rig::RigSetup& setup, const ValveLimits& limits,
                       const std::atomic<bool>* stop) {
  ValveCheck check{.programme = run_valve_programme(setup, stop), .limits = limits};
  check.verdict = judge_valve(figures_of(check.programme), limits);
  return check;
}

ValveCheck check_trace(const rig::RigSetup& setup, const ValveLimits& limits,
                       const ValveTrace& trace, const std::string& trace_name,
                       const std::atomic<bool>* stop) {
  const model::Coil& coil = setup.part.valve.coil;
  if (coil.force_law == model::ForceLaw::kTable)
    throw text::InputError(setup.name +
                           ": valve.coil.force_law: a trace is read and fitted by the linear and "
                           "the reluctance law; state one of them");
  if (coil.chop_hz > 0.0)
    throw text::InputError(setup.name +
                           ": valve.coil.chop: a trace is read and fitted with an ideal current "
                           "limit; take the key out");
  ValveCheck check{.trace_name = trace_name, .limits = limits};
  check.findings = analyse_trace(trace, reading_of(setup));
  check.verdict = judge_valve(figures_of(*check.findings, setup), limits);
  rig::RigSetup fitted = setup;
  if (check.findings->pressure_pa == check.findings->pressure_pa)
    fitted.supply_pa = check.findings->pressure_pa;
  try {
    check.fit = fit_valve(fitted, trace, *check.findings, {}, stop);
    fitted.part.valve = check.fit->valve;
  } catch (const text::InputError& error) {
    check.fit_refused = error.what();
  }
  check.programme = run_valve_programme(fitted, stop);
  return check;
}

}  // namespace sim::valve
