// The keys of liquid, lines, valve, outlet and attachment, for scenarios, catalogs and rig setups.
#include "shared/units.h"
#include "sim/scenario/sections.h"

namespace sim::scenario {
namespace {

constexpr double kRight_rad = shared::kPi_ratio / 2.0;
constexpr std::string_view kRestraints[] = {"jointed", "anchored", "anchored upstream"};
constexpr std::string_view kForceLaws[] = {"linear", "reluctance", "table"};
constexpr std::string_view kGasPlaces[] = {"valve exit", "middle", "outlet"};

void describe_wear(model::Wear& wear, text::Fields& f) {
  f.begin("wear", "what this valve has done, and what its kind stands; a life of 0 is not known");
  f.ratio("cycles", wear.cycles_ratio, {0.0, 1e12}, "cycles that the valve has done so far");
  f.quantity("volume", wear.volume_m3, text::Kind::kVolume, {0.0, 1e6},
             "volume of liquid that the valve has passed so far");
  f.ratio("life_cycles", wear.life_cycles_ratio, {0.0, 1e12},
          "cycles at the end of the valve's life; 0: not known");
  f.quantity("life_volume", wear.life_volume_m3, text::Kind::kVolume, {0.0, 1e6},
             "volume at the end of the valve's life; 0: not known");
  f.quantity("gap_at_life", wear.gap_at_life_m, text::Kind::kLength, {0.0, 1e-3},
             "radial gap of the worn plunger and seat at the end of their life: leaks when shut");
  f.quantity("land", wear.land_m, text::Kind::kLength, {0.0, 50e-3, true},
             "length of the worn gap along the flow");
  f.end();
}

}  // namespace

void describe(model::Liquid& liquid, text::Fields& f) {
  f.quantity("density", liquid.density_kgpm3, text::Kind::kDensity, {500.0, 3000.0},
             "density of the liquid");
  f.quantity("viscosity", liquid.viscosity_pas, text::Kind::kViscosity, {0.0, 10.0},
             "dynamic viscosity");
  f.quantity("bulk_modulus", liquid.bulk_modulus_pa, text::Kind::kPressure, {1e8, 1e11},
             "bulk modulus of the liquid alone");
  f.quantity("vapour_pressure", liquid.vapour_pressure_abs_pa, text::Kind::kPressure, {0.0, 1.5e5},
             "absolute vapour pressure");
  f.quantity("surface_tension", liquid.surface_tension_npm, text::Kind::kSurfaceTension, {0.0, 1.0},
             "surface tension against air");
}

void describe_line(model::Line& line, text::Fields& f) {
  f.quantity("length", line.length_m, text::Kind::kLength, {0.0, 1e4, true}, "length of the line");
  f.quantity("bore", line.bore_m, text::Kind::kLength, {0.1e-3, 2.0}, "inner diameter");
  f.quantity("wave_speed", line.wave_speed_mps, text::Kind::kSpeed, {10.0, 2000.0},
             "wave speed of liquid and wall together, without free gas; or state `wall` instead");
  f.quantity("rise", line.rise_m, text::Kind::kLength, {-100.0, 100.0},
             "height of the downstream end above the upstream end");
  f.quantity("wall", line.wall.thickness_m, text::Kind::kLength, {0.0, 0.2},
             "thickness of the wall, from which the wave speed is computed");
  f.quantity("modulus", line.wall.modulus_pa, text::Kind::kPressure, {0.0, 1e12},
             "Young's modulus of the wall");
  f.ratio("poisson", line.wall.poisson_ratio, {0.0, 0.5}, "Poisson's ratio of the wall");
  f.choice("restraint", line.wall.restraint, kRestraints, "how the line is held lengthwise");
  f.special("creep", "[{compliance = \"1e-10 1/Pa\", time = \"50 ms\"}]",
            "Kelvin-Voigt elements of the wall beyond its elastic part; needs `wall`");
}

void describe_coil(model::Coil& coil, text::Fields& f) {
  f.begin("coil", "");
  f.quantity("resistance", coil.resistance_ohm, text::Kind::kResistance, {0.0, 1e3, true},
             "resistance of the winding at 20 C");
  f.quantity(
      "inductance", coil.inductance_h, text::Kind::kInductance, {0.0, 1.0, true},
      "inductance of the coil; with the reluctance law at the seat, at small currents, leakage "
      "counted in");
  f.quantity("force_constant", coil.force_constant_npa, text::Kind::kForceConstant,
             {0.0, 1e3, true},
             "force on the plunger per current, linear law; also the back-EMF constant");
  f.quantity("temperature", coil.temperature_k, text::Kind::kTemperature, {200.0, 523.15},
             "temperature of the winding at the start of a pass; `resistance` is stated at 20 C");
  f.quantity("thermal_resistance", coil.thermal_kpw, text::Kind::kThermalResistance, {0.0, 1e3},
             "from winding to ambient; 0: the winding's temperature stays constant (passes only)");
  f.quantity("thermal_time", coil.thermal_time_s, text::Kind::kTime, {0.0, 1e5, true},
             "time constant of the winding's temperature");
  f.quantity("ambient", coil.ambient_k, text::Kind::kTemperature, {0.0, 423.15},
             "temperature around the winding; 0 K: that of the liquid");
  f.quantity("clamp", coil.clamp_v, text::Kind::kVoltage, {0.0, 200.0},
             "voltage that fast decay sets against the current, such as a zener's; 0: the supply");
  f.quantity("diode", coil.diode_v, text::Kind::kVoltage, {0.0, 10.0},
             "drop of the freewheel path in slow decay");
  f.quantity("chop", coil.chop_hz, text::Kind::kFrequency, {0.0, 1e6},
             "clock of the driver's current limit: on at each edge, off at the limit, then "
             "freewheeling; 0 Hz: an ideal limit");
  f.choice(
      "force_law", coil.force_law, kForceLaws,
      "linear: force = force_constant times current; reluctance: the gap's field pulls, and the "
      "keys below count; table: linkage measured over lift and current");
  f.special("table", "\"linkage.csv\"",
            "CSV file for force_law = \"table\": lift, current, and linkage or inductance, every "
            "current at every lift; beyond the last current its last slope goes on");
  model::Reluctance& iron = coil.reluctance;
  f.quantity("gap", iron.gap_m, text::Kind::kLength, {0.0, 0.1, true},
             "working gap at the seat, with the other gaps of the circuit; above the travel");
  f.quantity("leakage", iron.leakage_h, text::Kind::kInductance, {0.0, 1.0},
             "inductance of the flux that crosses no working gap");
  f.quantity("saturation", iron.saturation_vs, text::Kind::kFluxLinkage, {0.0, 100.0},
             "largest flux linkage of the working gap; 0: iron that never saturates");
  f.quantity("half_current", iron.half_current_a, text::Kind::kCurrent, {0.0, 100.0},
             "current that the iron alone takes at half of the saturation");
  f.quantity("remanence", iron.remanence_a, text::Kind::kCurrent, {0.0, 10.0},
             "current that would give the pull which is left without current");
  f.quantity("eddy_resistance", iron.eddy_ohm, text::Kind::kResistance, {0.0, 1e6},
             "eddy currents as one shorted turn, seen from the winding; 0: none");
  f.end();
}

void describe_valve(model::Valve& valve, text::Fields& f) {
  f.special("file", "\"fitted.valve.toml\"",
            "a file with these tables, such as `sillion valve --trace` writes; keys stated here "
            "override it");
  describe_coil(valve.coil, f);
  f.begin("plunger", "");
  f.quantity("mass", valve.plunger.mass_kg, text::Kind::kMass, {0.0, 0.1, true}, "moving mass");
  f.quantity("preload", valve.plunger.preload_n, text::Kind::kForce, {0.0, 200.0},
             "spring force when the valve is shut");
  f.quantity("spring_rate", valve.plunger.spring_rate_npm, text::Kind::kSpringRate, {0.0, 1e6},
             "spring force per lift");
  f.quantity("damping", valve.plunger.damping_nspm, text::Kind::kDamping, {0.0, 1e3},
             "viscous force per speed of the plunger");
  f.quantity("coulomb_friction", valve.plunger.coulomb_friction_n, text::Kind::kForce, {0.0, 50.0},
             "dry friction of the plunger");
  f.quantity("travel", valve.plunger.travel_m, text::Kind::kLength, {0.0, 10e-3, true},
             "lift at the stop");
  f.ratio("restitution", valve.plunger.restitution_ratio, {0.0, 0.99},
          "speed after an impact at seat or stop, divided by the speed before it");
  f.end();
  f.begin("seat", "");
  f.quantity("diameter", valve.seat.diameter_m, text::Kind::kLength, {0.1e-3, 30e-3},
             "diameter of the seat");
  f.quantity("half_angle", valve.seat.half_angle_rad, text::Kind::kAngle, {0.0, kRight_rad, true},
             "half angle of the seat's cone; 90 deg: a flat seat");
  f.ratio("discharge_coefficient", valve.seat.discharge_coefficient_ratio, {0.1, 1.0},
          "discharge coefficient of the open seat");
  f.ratio("laminar_coefficient", valve.seat.laminar_coefficient_ratio, {0.0, 1e3},
          "coefficient of the viscous part of the seat's law");
  f.ratio("flow_force", valve.seat.flow_force_ratio, {-1.0, 1.0},
          "coefficient of the flow force; it depends on how the flow converges past the plunger");
  f.end();
  describe_wear(valve.wear, f);
}

void describe_outlet(model::Outlet& outlet, text::Fields& f) {
  f.quantity("bore", outlet.bore_m, text::Kind::kLength, {0.1e-3, 20e-3}, "inner diameter");
  f.ratio("discharge_coefficient", outlet.discharge_coefficient_ratio, {0.1, 1.0},
          "discharge coefficient of the outlet");
  f.ratio("laminar_coefficient", outlet.laminar_coefficient_ratio, {0.0, 1e3},
          "coefficient of the viscous part of the outlet's law");
  f.quantity(
      "length", outlet.length_m, text::Kind::kLength, {0.0, 0.2},
      "instead of both coefficients: length of the outlet's bore, a short tube of 2 to 10 bores");
}

void describe(AttachmentSection& attachment, text::Fields& f) {
  f.text("name", attachment.name, "name of an attachment in the catalog (`list attachments`)");
  f.text("note", attachment.note, "what the attachment is, in words");
  f.begin("hose", "from the supply to the valve");
  describe_line(attachment.hose, f);
  f.end();
  f.begin("valve", "");
  describe_valve(attachment.valve, f);
  f.end();
  f.begin("tube", "from the valve to the outlet");
  describe_line(attachment.tube, f);
  f.end();
  f.begin("outlet", "");
  describe_outlet(attachment.outlet, f);
  f.end();
  f.begin("jet", "");
  f.quantity("drop_height", attachment.jet.drop_height_m, text::Kind::kLength, {0.0, 1.0, true},
             "height of the outlet above the furrow floor");
  f.quantity("aim", attachment.jet.aim_rad, text::Kind::kAngle, {-1.4, 1.4},
             "direction of the jet: 0 straight down, positive forward");
  f.quantity("side_aim", attachment.jet.side_aim_rad, text::Kind::kAngle, {-1.4, 1.4},
             "direction of the jet: 0 in the plane of travel, positive away from the seed line");
  f.end();
  f.quantity("gas_volume", attachment.gas_volume_m3, text::Kind::kVolume, {0.0, 1e-6},
             "free gas at one place of the tube, as volume at atmospheric pressure");
  f.choice("gas_place", attachment.gas_place, kGasPlaces, "where the free gas is");
  f.quantity("outlet_offset", attachment.outlet_offset_m, text::Kind::kLength, {-2.0, 2.0},
             "distance by which the outlet trails the place where the seed comes to rest");
  f.quantity("lateral_clearance", attachment.lateral_clearance_m, text::Kind::kLength, {0.0, 0.5},
             "distance from the jet's axis to the seed line");
  f.flag("guided", attachment.guided,
         "true: the liquid runs down a surface instead of in a free jet");
  f.begin("guide", "the surface that guided liquid runs down, pointing where the jet would");
  f.quantity("length", attachment.jet.guide_length_m, text::Kind::kLength, {0.0, 1.0},
             "length of the surface; 0: guided without delay");
  f.quantity("speed", attachment.jet.guide_speed_mps, text::Kind::kSpeed, {0.0, 30.0},
             "measured speed of the liquid on the surface: between a film's and that of the jet in "
             "free fall");
  f.quantity("width", attachment.guide_width_m, text::Kind::kLength, {0.0, 0.2, true},
             "width of the surface, from which a film's speed follows");
  f.end();
  f.quantity("hold_current", attachment.hold_current_a, text::Kind::kCurrent, {0.0, 50.0, true},
             "coil current when the valve is open");
}

}  // namespace sim::scenario
