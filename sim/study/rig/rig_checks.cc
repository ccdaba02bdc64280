#include "sim/study/rig/rig_checks.h"

#include <cmath>

#include "shared/units.h"
#include "sim/scenario/coil_checks.h"

namespace sim::rig {
namespace {

class RigChecks {
 public:
  RigChecks(const RigSetup& setup, const text::Places& places, const text::Place& file)
      : s_(setup), places_(places), file_(file) {}

  void all() const {
    if (s_.inlet == RigInlet::kChain) {
      line(s_.part.hose, "hose");
      const scenario::CoilTrouble coil =
          scenario::coil_trouble(s_.part.valve, s_.supply_pa,
                                 {.supply_v = s_.drive.supply_v,
                                  .limit_a = s_.drive.current_limit_a,
                                  .on_time_s = s_.drive.on_time_s,
                                  .step_s = static_cast<double>(s_.solver.step_ns) * 1e-9});
      if (!coil.key.empty()) wrong("valve." + coil.key, coil.message);
      if (!(s_.supply_pa > 0.0)) wrong("supply.pressure", "must be above 0 for a chain");
      if (s_.drive.pulses > 1 && s_.drive.period_s <= s_.drive.on_time_s)
        wrong("drive.period", "must be longer than drive.on_time");
    } else {
      inlet();
    }
    line(s_.part.tube, "tube");
    outlet();
    liquid();
    step();
    record();
  }

 private:
  [[noreturn]] void wrong(const std::string& key, const std::string& message) const {
    const auto stated = places_.find(key);
    text::fail(stated == places_.end() ? file_ : stated->second, key, message);
  }
  bool stated(const std::string& key) const { return places_.contains(key); }
  static std::string us(double time_s) {
    return "\"" + text::format_quantity(time_s, text::Kind::kTime, "us", 4) + "\"";
  }

  void line(const model::Line& line, const std::string& name) const {
    if (!(line.length_m > 0.0)) wrong(name + ".length", "must be stated and above 0");
    if (!(line.bore_m > 0.0)) wrong(name + ".bore", "must be stated and above 0");
    if (!(line.wave_speed_mps > 0.0))
      wrong(name + ".wave_speed", "must be stated, or wall, modulus and poisson in its place");
  }

  void inlet() const {
    for (const char* part : {"hose.", "valve.", "drive."})
      for (const auto& [key, place] : places_)
        if (key.starts_with(part))
          text::fail(place, key,
                     "contradicts [inlet]: an ideal inlet stands in place of hose and valve");
    const bool opening = s_.inlet == RigInlet::kOpening;
    if (opening && !(s_.ideal.full_flow_m3ps > 0.0 && s_.ideal.full_drop_pa > 0.0))
      wrong("inlet.flow", "an opening needs inlet.flow and inlet.at, both above 0");
    for (const char* key : {"inlet.flow", "inlet.at"})
      if (!opening && stated(key)) wrong(key, "belongs to inlet.kind = \"opening\"");
    if (!opening && stated("supply.pressure"))
      wrong("supply.pressure", "contradicts [inlet]: only an opening has a supply behind it");
  }

  void outlet() const {
    using model::EndKind;
    const model::IdealEnd& end = s_.end;
    if (end.kind == EndKind::kOrifice && !(s_.part.outlet.bore_m > 0.0 && stated_bore()))
      wrong("outlet.bore", "must be stated, or outlet.kind must be an ideal end");
    if (end.kind == EndKind::kRoot && !(end.root_flow_m3ps > 0.0 && end.root_drop_pa > 0.0))
      wrong("outlet.kind", "\"root\" needs outlet.flow and outlet.at");
    if (end.kind == EndKind::kLinear && !(end.resistance_paspm3 > 0.0))
      wrong("outlet.kind", "\"linear\" needs outlet.resistance");
    const auto belongs = [&](const char* key, EndKind kind, const char* word) {
      if (stated(key) && end.kind != kind)
        wrong(key, std::string("contradicts outlet.kind: it belongs to \"") + word + "\"");
    };
    belongs("outlet.bore", EndKind::kOrifice, "orifice");
    belongs("outlet.flow", EndKind::kRoot, "root");
    belongs("outlet.at", EndKind::kRoot, "root");
    belongs("outlet.resistance", EndKind::kLinear, "linear");
    belongs("outlet.value", EndKind::kPressure, "pressure");
    if (end.kind == EndKind::kClosed && s_.inlet == RigInlet::kFlow && s_.history.first() != 0.0)
      wrong("outlet.kind", "\"closed\" contradicts a flow into the tube before t = 0");
  }
  // An attachment of the catalog brings its own bore.
  bool stated_bore() const { return stated("outlet.bore") || !s_.part.name.empty(); }

  void liquid() const {
    const double vapour_pa = s_.liquid.liquid.vapour_pressure_abs_pa - s_.atmosphere_pa;
    if (vapour_pa >= 0.0)
      wrong("liquid.vapour_pressure", "is not below the atmosphere: the liquid would boil");
    const bool supplied = s_.inlet == RigInlet::kChain || s_.inlet == RigInlet::kOpening;
    if (supplied && vapour_pa >= s_.supply_pa)
      wrong("supply.pressure", "is below vapour pressure: raise it or cool the liquid");
    const double tube_m3 = 0.25 * shared::kPi_ratio * s_.part.tube.bore_m * s_.part.tube.bore_m *
                           s_.part.tube.length_m;
    if (s_.gas.volume_m3 >= tube_m3)
      wrong("gas_pocket.volume", "is larger than the tube, which holds \"" +
                                     text::format_quantity(tube_m3, text::Kind::kVolume, "mm3", 4) +
                                     "\"");
  }

  void step() const {
    const double step_s = static_cast<double>(s_.solver.step_ns) * 1e-9;
    const auto resolves = [&](const model::Line& line, const char* name) {
      const double travel_s = line.length_m / line.wave_speed_mps;
      if (travel_s < 1.5 * step_s)
        wrong("solver.step", us(step_s) + " does not resolve the " + name + ": a wave needs " +
                                 us(travel_s) + " along it; take a tenth of that");
      if (travel_s / step_s > 1e6)
        wrong("solver.step", us(step_s) + " would make over a million cells of the " + name);
    };
    if (s_.inlet == RigInlet::kChain) resolves(s_.part.hose, "hose");
    resolves(s_.part.tube, "tube");
  }

  void record() const {
    const RigRecord& record = s_.record;
    for (std::size_t k = 1; k < record.at_s.size(); ++k)
      if (!(record.at_s[k] > record.at_s[k - 1]))
        wrong("record.at", "must rise: " + us(record.at_s[k]) + " follows " +
                               us(record.at_s[k - 1]) + "; put the instants in order");
    const double lasts_s = rig_duration_s(s_);
    if (s_.inlet == RigInlet::kChain && lasts_s <= s_.drive.first_on_s)
      wrong(record.duration_s > 0.0 ? "record.duration" : "record.at",
            "ends at " + us(lasts_s) + ", before drive.first_on at " + us(s_.drive.first_on_s) +
                ": no pulse would be seen; record longer or drive earlier");
    const double instants_ratio = record.at_s.empty() ? lasts_s / record.every_s : 0.0;
    if (instants_ratio > kMostRigInstants_ratio)
      wrong(culprit("record.every"),
            "would record " + count(instants_ratio) + " instants, at most " +
                count(kMostRigInstants_ratio) +
                ": take fewer drive.pulses, a coarser record.every or a shorter record.duration");
    const double steps_ratio = lasts_s / (static_cast<double>(s_.solver.step_ns) * 1e-9);
    if (steps_ratio > kMostRigSteps_ratio)
      wrong(culprit("solver.step"),
            "would take " + count(steps_ratio) + " steps, at most " + count(kMostRigSteps_ratio) +
                ": take fewer drive.pulses, a longer solver.step or a shorter record.duration");
  }
  /// The key that makes a record too large: the first of these that was stated, else `usual`.
  std::string culprit(const std::string& usual) const {
    for (const char* key : {"record.every", "record.duration", "drive.pulses", "drive.first_on"})
      if (stated(key)) return key;
    return usual;
  }
  static std::string count(double many_ratio) { return std::to_string(std::llround(many_ratio)); }

  const RigSetup& s_;
  const text::Places& places_;
  const text::Place& file_;
};

}  // namespace

void check_rig(const RigSetup& setup, const text::Places& places, const text::Place& file) {
  RigChecks(setup, places, file).all();
}

}  // namespace sim::rig
