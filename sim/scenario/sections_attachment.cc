// The keys of liquid, lines, valve, outlet and attachment, for scenarios, catalogs and rig setups.
#include "shared/units.h"
#include "sim/scenario/sections.h"

namespace sim::scenario {
namespace {

constexpr double kRight_rad = shared::kPi_ratio / 2.0;
constexpr std::string_view kRestraints[] = {"jointed", "anchored", "anchored upstream"};
constexpr std::string_view kGasPlaces[] = {"valve exit", "middle", "outlet"};

}  // namespace

void describe(model::Liquid& liquid, text::Fields& f) {
  f.quantity("density", liquid.density_kgpm3, text::Kind::kDensity, {500.0, 3000.0}, "");
  f.quantity("viscosity", liquid.viscosity_pas, text::Kind::kViscosity, {0.0, 10.0}, "");
  f.quantity("bulk_modulus", liquid.bulk_modulus_pa, text::Kind::kPressure, {1e8, 1e11}, "");
  f.quantity("vapour_pressure", liquid.vapour_pressure_abs_pa, text::Kind::kPressure, {0.0, 1.5e5},
             "absolute");
  f.quantity("surface_tension", liquid.surface_tension_npm, text::Kind::kSurfaceTension, {0.0, 1.0},
             "");
}

void describe_line(model::Line& line, text::Fields& f) {
  f.quantity("length", line.length_m, text::Kind::kLength, {0.0, 1e4, true}, "");
  f.quantity("bore", line.bore_m, text::Kind::kLength, {0.1e-3, 2.0}, "inner diameter");
  f.quantity("wave_speed", line.wave_speed_mps, text::Kind::kSpeed, {10.0, 2000.0},
             "liquid and wall together, without free gas; or state `wall`");
  f.quantity("rise", line.rise_m, text::Kind::kLength, {-100.0, 100.0},
             "its downstream end above its upstream end");
  f.quantity("wall", line.wall.thickness_m, text::Kind::kLength, {0.0, 0.2},
             "thickness: the wave speed is then computed");
  f.quantity("modulus", line.wall.modulus_pa, text::Kind::kPressure, {0.0, 1e12},
             "Young's modulus of the wall");
  f.ratio("poisson", line.wall.poisson_ratio, {0.0, 0.5}, "Poisson's ratio of the wall");
  f.choice("restraint", line.wall.restraint, kRestraints, "how the line is held lengthwise");
  f.special("creep", "[{compliance = \"1e-10 1/Pa\", time = \"50 ms\"}]",
            "Kelvin-Voigt elements of the wall beyond its elastic part; needs `wall`");
}

void describe_valve(model::Valve& valve, text::Fields& f) {
  f.special(
      "file", "\"fitted.valve.toml\"",
      "a file with these tables, such as `sillion valve --trace` writes; keys stated here win");
  f.begin("coil", "");
  f.quantity("resistance", valve.coil.resistance_ohm, text::Kind::kResistance, {0.0, 1e3, true},
             "");
  f.quantity("inductance", valve.coil.inductance_h, text::Kind::kInductance, {0.0, 1.0, true}, "");
  f.quantity("force_constant", valve.coil.force_constant_npa, text::Kind::kForceConstant,
             {0.0, 1e3, true}, "also the back-EMF constant");
  f.quantity("temperature", valve.coil.temperature_k, text::Kind::kTemperature, {200.0, 523.15},
             "of the winding at the start of a pass; resistance is that at 20 C");
  f.quantity("thermal_resistance", valve.coil.thermal_kpw, text::Kind::kThermalResistance,
             {0.0, 1e3}, "winding to ambient; 0: its temperature is held (passes only)");
  f.quantity("thermal_time", valve.coil.thermal_time_s, text::Kind::kTime, {0.0, 1e5, true},
             "time constant of the winding's temperature");
  f.quantity("ambient", valve.coil.ambient_k, text::Kind::kTemperature, {0.0, 423.15},
             "around the winding; 0 K: the liquid's temperature");
  f.end();
  f.begin("plunger", "");
  f.quantity("mass", valve.plunger.mass_kg, text::Kind::kMass, {0.0, 0.1, true}, "");
  f.quantity("preload", valve.plunger.preload_n, text::Kind::kForce, {0.0, 200.0},
             "spring force when shut");
  f.quantity("spring_rate", valve.plunger.spring_rate_npm, text::Kind::kSpringRate, {0.0, 1e6}, "");
  f.quantity("damping", valve.plunger.damping_nspm, text::Kind::kDamping, {0.0, 1e3}, "");
  f.quantity("coulomb_friction", valve.plunger.coulomb_friction_n, text::Kind::kForce, {0.0, 50.0},
             "");
  f.quantity("travel", valve.plunger.travel_m, text::Kind::kLength, {0.0, 10e-3, true},
             "lift at the stop");
  f.ratio("restitution", valve.plunger.restitution_ratio, {0.0, 0.99},
          "of impacts at seat and stop");
  f.end();
  f.begin("seat", "");
  f.quantity("diameter", valve.seat.diameter_m, text::Kind::kLength, {0.1e-3, 30e-3}, "");
  f.quantity("half_angle", valve.seat.half_angle_rad, text::Kind::kAngle, {0.0, kRight_rad, true},
             "of the cone; 90 deg is flat");
  f.ratio("discharge_coefficient", valve.seat.discharge_coefficient_ratio, {0.1, 1.0}, "");
  f.ratio("laminar_coefficient", valve.seat.laminar_coefficient_ratio, {0.0, 1e3},
          "of the seat law's viscous part");
  f.ratio("flow_force", valve.seat.flow_force_ratio, {-1.0, 1.0},
          "by the way the flow converges past the plunger");
  f.end();
  f.begin("wear", "what this valve has done, and what its kind stands; a life of 0 is not known");
  f.ratio("cycles", valve.wear.cycles_ratio, {0.0, 1e12}, "so far");
  f.quantity("volume", valve.wear.volume_m3, text::Kind::kVolume, {0.0, 1e6}, "of liquid so far");
  f.ratio("life_cycles", valve.wear.life_cycles_ratio, {0.0, 1e12}, "at the end of its life");
  f.quantity("life_volume", valve.wear.life_volume_m3, text::Kind::kVolume, {0.0, 1e6},
             "at the end of its life");
  f.quantity("gap_at_life", valve.wear.gap_at_life_m, text::Kind::kLength, {0.0, 1e-3},
             "radial gap of the worn pair at the end of its life: leaks when shut");
  f.quantity("land", valve.wear.land_m, text::Kind::kLength, {0.0, 50e-3, true},
             "length of that gap along the flow");
  f.end();
}

void describe_outlet(model::Outlet& outlet, text::Fields& f) {
  f.quantity("bore", outlet.bore_m, text::Kind::kLength, {0.1e-3, 20e-3}, "");
  f.ratio("discharge_coefficient", outlet.discharge_coefficient_ratio, {0.1, 1.0}, "");
  f.ratio("laminar_coefficient", outlet.laminar_coefficient_ratio, {0.0, 1e3}, "");
  f.quantity("length", outlet.length_m, text::Kind::kLength, {0.0, 0.2},
             "instead of both coefficients: of the bore, a short tube of 2 to 10 bores");
}

void describe(AttachmentSection& attachment, text::Fields& f) {
  f.text("name", attachment.name, "of the catalog of attachments");
  f.text("note", attachment.note, "what it is, for people");
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
             "outlet above the furrow floor");
  f.quantity("aim", attachment.jet.aim_rad, text::Kind::kAngle, {-1.4, 1.4},
             "0 straight down, positive forward");
  f.quantity("side_aim", attachment.jet.side_aim_rad, text::Kind::kAngle, {-1.4, 1.4},
             "0 in the plane of travel, positive away from the seed line");
  f.end();
  f.quantity("gas_volume", attachment.gas_volume_m3, text::Kind::kVolume, {0.0, 1e-6},
             "free gas at one place of the tube, as volume at atmospheric pressure");
  f.choice("gas_place", attachment.gas_place, kGasPlaces, "where it sits");
  f.quantity("outlet_offset", attachment.outlet_offset_m, text::Kind::kLength, {-2.0, 2.0},
             "outlet trails the place where the seed comes to rest by this");
  f.quantity("lateral_clearance", attachment.lateral_clearance_m, text::Kind::kLength, {0.0, 0.5},
             "jet axis to seed line");
  f.flag("guided", attachment.guided, "runs down a surface instead of a free jet");
  f.begin("guide", "the surface that guided liquid runs down, pointing where the jet would");
  f.quantity("length", attachment.jet.guide_length_m, text::Kind::kLength, {0.0, 1.0},
             "along the surface; 0: guided without delay");
  f.quantity("speed", attachment.jet.guide_speed_mps, text::Kind::kSpeed, {0.0, 30.0},
             "of the liquid on it: measured, between a film's and the jet's in free fall");
  f.quantity("width", attachment.guide_width_m, text::Kind::kLength, {0.0, 0.2, true},
             "of the surface, for the bound of a film");
  f.end();
  f.quantity("hold_current", attachment.hold_current_a, text::Kind::kCurrent, {0.0, 50.0, true},
             "coil current when open");
}

}  // namespace sim::scenario
