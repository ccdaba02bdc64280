#include "sim/scenario/checks.h"

#include <algorithm>
#include <cmath>

#include "model/reproducible_math.h"
#include "shared/units.h"
#include "sim/scenario/coil_checks.h"
#include "sim/scenario/network_keys.h"

namespace sim::scenario {
namespace {

class Checks {
 public:
  Checks(const Scenario& scenario, const text::Places& places, const text::Place& file)
      : s_(scenario), places_(places), file_(file) {}

  void all() const {
    orders();
    travel();
    if (s_.rate.in_band_m3pm2 <= 0.0)
      wrong("rate.in_band", "must be stated and above 0, such as \"5 gal/ac\"");
    if (s_.row.physics == RowPhysics::kFull) plumbing();
    if (s_.controller.delay == DelaySource::kGiven && places_.count("controller.delay_time") == 0 &&
        places_.count("controller.delay_distance") == 0) {
      wrong("controller.delay",
            "\"given\" needs controller.delay_time or controller.delay_distance");
    }
  }

 private:
  [[noreturn]] void wrong(const std::string& key, const std::string& message) const {
    const auto stated = places_.find(key);
    text::fail(stated == places_.end() ? file_ : stated->second, key, message);
  }
  static std::string mm(double length_m) {
    return "\"" + text::format_quantity(length_m, text::Kind::kLength, "mm") + "\"";
  }

  void orders() const {
    if (s_.seeding.meter.double_gap_min_ratio > s_.seeding.meter.double_gap_max_ratio) {
      wrong("seeding.double_gap_min", "is larger than seeding.double_gap_max");
    }
    const auto pressure = places_.find("supply.pressure");
    const auto bar = [](double pressure_pa) {
      return text::format_quantity(pressure_pa, text::Kind::kPressure, "bar");
    };
    // If only the least pressure is overridden by --set, the message names that key, otherwise the
    // pressure, if it was stated.
    const auto least = places_.find("supply.pressure_min");
    const bool least_alone = least != places_.end() && !least->second.set_key.empty() &&
                             pressure != places_.end() && pressure->second.set_key.empty();
    if (s_.supply.pressure_min_pa > s_.supply.pressure_pa && pressure != places_.end() &&
        !least_alone)
      wrong("supply.pressure", "\"" + bar(s_.supply.pressure_pa) +
                                   "\" is below supply.pressure_min; nearest workable: \"" +
                                   bar(s_.supply.pressure_min_pa) + "\"");
    if (s_.supply.pressure_min_pa > s_.supply.pressure_pa)
      wrong("supply.pressure_min", "is larger than supply.pressure");
    const model::Manifold& manifold = s_.supply.manifold;
    if (manifold.pump_m3ps > 0.0 && s_.supply.pressure_min_pa >= manifold.pump_pa)
      wrong("supply.pump_pressure", "must be above supply.pressure_min");
    if (manifold.tank_m3 > 0.0 && manifold.pump_m3ps == 0.0)
      wrong("supply.tank_volume", "needs supply.pump_flow: without a pump nothing empties it");
    const model::Valve& valve = s_.attachment.valve;
    const bool worn = valve.wear.gap_at_life_m > 0.0 &&
                      (valve.wear.cycles_ratio > 0.0 || valve.wear.volume_m3 > 0.0);
    if (worn && valve.wear.life_cycles_ratio == 0.0 && valve.wear.life_volume_m3 == 0.0)
      wrong("attachment.valve.wear.gap_at_life",
            "needs life_cycles or life_volume: it is the gap at the end of the valve's life");
  }

  // Without a duration the pass ends when every row has placed its seeds, so every row must move
  // forward at the end.
  void travel() const {
    if (s_.duration_s > 0.0) return;
    const TravelSection& travel = s_.travel;
    model::TravelKnot end{0.0, travel.speed_mps, 0.0};
    if (!travel.profile.empty()) end = travel.profile.back();
    if (travel.turn_radius_m != 0.0) end.yaw_rate_radps = end.speed_mps / travel.turn_radius_m;
    const std::string ask = "state `duration`, or the pass never ends";
    if (end.speed_mps <= 0.0)
      wrong(travel.profile.empty() ? "travel.speed" : "travel.profile",
            "stands still at the end: " + ask);
    const double outer_m = 0.5 * static_cast<double>(s_.row.count - 1) * s_.row.width_m;
    if (end.speed_mps - std::fabs(end.yaw_rate_radps) * outer_m <= 0.0) {
      wrong("travel.turn_radius",
            "the turn lies inside the toolbar, so a row stands still: " + ask);
    }
  }

  void plumbing() const {
    const AttachmentSection& a = s_.attachment;
    const double speed_mps = s_.travel.speed_mps;
    const CoilTrouble coil =
        coil_trouble(a.valve, s_.supply.pressure_min_pa,
                     {.supply_v = s_.supply.voltage_v,
                      .limit_a = a.hold_current_a,
                      .on_time_s = speed_mps > 0.0 ? s_.rate.band_length_m / speed_mps : 0.0,
                      .step_s = static_cast<double>(s_.solver.step_ns) * 1e-9});
    if (!coil.key.empty()) wrong("attachment.valve." + coil.key, coil.message);
    if (a.name.empty()) wrong("attachment.name", "must be stated: a name of the catalog");
    line("hose", a.hose, s_.solver.hose_stations);
    exchange(a.hose);
    line("tube", a.tube, s_.solver.tube_stations);
    if (a.outlet.bore_m >= a.tube.bore_m) {
      wrong("attachment.outlet.bore",
            mm(a.outlet.bore_m) + " must be below the tube's bore of " + mm(a.tube.bore_m));
    }
    guide();
    // Curtain pi d x sin(alpha) against bore pi d^2/4 of the seat: beyond that travel the seat law
    // no longer depends on the lift.
    const model::Seat& seat = a.valve.seat;
    const double most_m = seat.diameter_m / (4.0 * model::sin_of(seat.half_angle_rad));
    if (a.valve.plunger.travel_m > most_m) {
      wrong("attachment.valve.plunger.travel",
            mm(a.valve.plunger.travel_m) + " opens more area than the bore of the seat; at most " +
                mm(most_m) + " for a seat of " + mm(seat.diameter_m));
    }
  }

  void guide() const {
    const AttachmentSection& a = s_.attachment;
    if (!(a.jet.guide_length_m > 0.0)) return;
    const std::string key = "attachment.guide.length";
    if (!a.guided) wrong(key, "needs attachment.guided = true: a free jet touches no surface");
    if (!(a.jet.guide_speed_mps > 0.0))
      wrong("attachment.guide.speed", "must be stated: it cannot be computed, so measure it");
    const double down_ratio = model::cos_of(a.jet.aim_rad) * model::cos_of(a.jet.side_aim_rad);
    if (a.jet.guide_length_m * down_ratio > a.jet.drop_height_m)
      wrong(key, mm(a.jet.guide_length_m) + " reaches below the furrow floor, " +
                     mm(a.jet.drop_height_m) + " under the outlet");
  }

  // All hoses together empty a manifold in C Z/rows: an exchange interval must not be longer.
  void exchange(const model::Line& hose) const {
    const model::Manifold& manifold = s_.supply.manifold;
    if (manifold.pump_m3ps == 0.0) return;
    const double area_m2 = 0.25 * shared::kPi_ratio * hose.bore_m * hose.bore_m;
    const double impedance_paspm3 = s_.liquid.liquid.density_kgpm3 * hose.wave_speed_mps / area_m2;
    const double empties_s = manifold.volume_m3 / manifold.modulus_pa * impedance_paspm3 /
                             static_cast<double>(s_.row.count);
    if (s_.supply.exchange_s > empties_s)
      wrong("supply.exchange",
            "is longer than the hoses need to empty a manifold of this stiffness: at most \"" +
                text::format_quantity(empties_s, text::Kind::kTime, "ms") + "\"");
  }

  void line(const std::string& name, const model::Line& line, int stations) const {
    const std::string key = "attachment." + name;
    if (line.length_m <= 0.0) wrong(key + ".length", "must be stated");
    if (line.bore_m <= 0.0) wrong(key + ".bore", "must be stated");
    if (line.wave_speed_mps <= 0.0) wrong(key + ".wave_speed", "must be stated");
    const double cell_m = line.wave_speed_mps * static_cast<double>(s_.solver.step_ns) * 1e-9;
    const double least_m = cell_m * static_cast<double>(std::max(4, stations + 1));
    if (line.length_m < least_m) {
      wrong(key + ".length", mm(line.length_m) + " is too short for solver.step and " +
                                 std::to_string(stations) + " stations: at least " + mm(least_m));
    }
  }

  const Scenario& s_;
  const text::Places& places_;
  const text::Place& file_;
};

}  // namespace

void check_scenario(const Scenario& scenario, const text::Places& places, const text::Place& file) {
  Checks(scenario, places, file).all();
  check_network(scenario, places, file);
}

}  // namespace sim::scenario
