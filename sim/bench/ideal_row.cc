// A row without physics: its steady flow starts and ends at the stated delays after the commands,
// so that what the controller adds to the error stands alone.
#include <algorithm>
#include <vector>

#include "sim/bench/row_plant.h"
#include "sim/scenario/rate_zones.h"

namespace sim::bench {
namespace {

/// An ideal row has no waves to resolve: a tenth of a millisecond keeps a parcel below half a
/// millimetre at 16 km/h.
constexpr shared::Duration kIdealStep{100'000};

class IdealRow final : public RowPlant {
 public:
  IdealRow(const scenario::Scenario& scenario, const model::Travel& travel)
      : scenario_(scenario), travel_(travel) {}

  shared::Duration step_length() const override { return kIdealStep; }
  double owned_after_s() const override { return 0.0; }
  std::optional<double> stored_volume_m3() const override { return std::nullopt; }
  double steady_flow_m3ps(double, shared::Instant at) const override {
    return scenario::in_band_rate_m3pm2(scenario_.rate, at.seconds()) * scenario_.row.width_m *
           std::max(0.0, model::motion_at(travel_, at.seconds()).speed_mps);
  }
  bool open(const model::RowStepOutput& out) const override { return out.outlet_flow_m3ps > 0.0; }

  void take_faults(const scenario::PlantSeam&) override {}
  void commanded_on(shared::Instant at, double) override {
    pulses_.push_back({.from_s = at.seconds() + scenario_.row.opening_delay_s});
  }
  void commanded_off(shared::Instant at) override {
    if (!pulses_.empty()) pulses_.back().to_s = at.seconds() + scenario_.row.closing_delay_s;
  }
  void took(shared::Instant, const model::RowStepOutput&) override {}
  model::RowStepOutput step(shared::Instant start, const model::RowStepInput& input,
                            double full_flow_m3ps) override;
  void draw_from(model::ManifoldShare& share, double, double last_inlet_volume_m3) override {
    share.pressure_pa +=
        (share.fed_m3ps * kIdealStep.seconds() - last_inlet_volume_m3) / share.compliance_m3ppa;
  }
  void end_slot(double) override {}

 private:
  struct Pulse {
    double from_s = 0.0;
    double to_s = 1e300;
  };
  const scenario::Scenario& scenario_;
  const model::Travel& travel_;
  std::vector<Pulse> pulses_;
};

model::RowStepOutput IdealRow::step(shared::Instant start, const model::RowStepInput&,
                                    double full_flow_m3ps) {
  model::RowStepOutput out;
  const double from_s = start.seconds();
  const double to_s = (start + kIdealStep).seconds();
  double open_s = 0.0;
  for (const Pulse& pulse : pulses_)
    open_s += std::max(0.0, std::min(to_s, pulse.to_s) - std::max(from_s, pulse.from_s));
  std::erase_if(pulses_, [&](const Pulse& pulse) { return pulse.to_s < from_s; });
  out.outlet_flow_m3ps = out.valve_flow_m3ps = full_flow_m3ps * open_s / (to_s - from_s);
  out.jet_volume_m3 = out.inlet_volume_m3 = out.valve_volume_m3 =
      out.outlet_flow_m3ps * (to_s - from_s);
  return out;
}

}  // namespace

std::unique_ptr<RowPlant> make_ideal_row(const scenario::Scenario& scenario,
                                         const model::Travel& travel) {
  return std::make_unique<IdealRow>(scenario, travel);
}

}  // namespace sim::bench
