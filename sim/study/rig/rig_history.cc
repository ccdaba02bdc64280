#include "sim/study/rig/rig_history.h"

#include <algorithm>
#include <limits>

namespace sim::rig {
namespace {

constexpr std::string_view kInlets[] = {"chain", "flow", "pressure", "opening"};

struct ValueKind {
  text::Kind kind;
  text::Range range;
};

ValueKind kind_of(RigInlet inlet) {
  switch (inlet) {
    case RigInlet::kPressure: return {text::Kind::kPressure, {-1e9, 1e9}};
    case RigInlet::kOpening: return {text::Kind::kRatio, {0.0, 1.0}};
    default: return {text::Kind::kFlow, {-1.0, 1.0}};
  }
}

[[noreturn]] void wrong(const text::Places& places, const text::Place& file, const std::string& key,
                        const std::string& message) {
  const auto stated = places.find(key);
  text::fail(stated == places.end() ? file : stated->second, key, message);
}

model::InletKind inlet_kind(RigInlet inlet) {
  return inlet == RigInlet::kPressure  ? model::InletKind::kPressure
         : inlet == RigInlet::kOpening ? model::InletKind::kOpening
                                       : model::InletKind::kFlow;
}

std::vector<model::HistoryKnot> knots_of(const RigTrain& train) {
  std::vector<model::HistoryKnot> knots{{0.0, 0.0}};
  const double period_s = train.frequency_hz > 0.0 ? 1.0 / train.frequency_hz : 0.0;
  for (int k = 0; k < train.pulses; ++k) {
    const double on_s = k * period_s;
    knots.push_back({on_s, 0.0});
    knots.push_back({on_s + train.rise_s, train.peak});
    knots.push_back({on_s + train.rise_s + train.hold_s, train.peak});
    knots.push_back({on_s + train.rise_s + train.hold_s + train.fall_s, 0.0});
  }
  return knots;
}

}  // namespace

void describe_inlet(RigSetup& setup, text::Fields& f) {
  f.begin("inlet", "in place of supply, hose and valve: flow, pressure or a valve that opens");
  f.choice("kind", setup.inlet, kInlets,
           "chain: hose and valve as stated; the others: an ideal inlet in their place");
  const ValueKind value = kind_of(setup.inlet);
  f.quantity("flow", setup.ideal.full_flow_m3ps, text::Kind::kFlow, {0.0, 1.0, true},
             "opening: flow when fully open");
  f.quantity("at", setup.ideal.full_drop_pa, text::Kind::kPressure, {0.0, 1e9, true},
             "opening: pressure difference at which `flow` passes");
  RigTrain& train = setup.train;
  f.quantity("peak", train.peak, value.kind, value.range, "train: top of each trapezoid");
  f.quantity("rise", train.rise_s, text::Kind::kTime, {0.0, 1e3},
             "train: time of the rise to the peak");
  f.quantity("hold", train.hold_s, text::Kind::kTime, {0.0, 1e3}, "train: time at the peak");
  f.quantity("fall", train.fall_s, text::Kind::kTime, {0.0, 1e3}, "train: time of the fall to 0");
  f.whole("pulses", train.pulses, 1, 100'000, "train: number of trapezoids");
  f.quantity("mean", setup.history.mean, value.kind, value.range, "sine: mean value");
  f.quantity("amplitude", setup.history.amplitude, value.kind, value.range,
             "sine: amplitude about the mean");
  f.quantity("frequency", train.frequency_hz, text::Kind::kFrequency, {0.0, 1e6},
             "train or sine: repetitions per second");
  std::vector<double> times_s, values_si;
  f.quantities("times", times_s, text::Kind::kTime, {0.0, 1e5},
               "table: times of the knots; a repeated time makes a jump");
  f.quantities("values", values_si, value.kind, value.range,
               "table: values at the knots, with straight lines between; the last value is kept");
  for (std::size_t i = 0; i < std::max(times_s.size(), values_si.size()); ++i)
    setup.history.knots.push_back(
        {i < times_s.size() ? times_s[i] : -1.0,
         i < values_si.size() ? values_si[i] : std::numeric_limits<double>::quiet_NaN()});
  f.end();
}

void finish_inlet(RigSetup& setup, const text::Places& places, const text::Place& file) {
  if (setup.inlet == RigInlet::kChain) {
    for (const auto& [key, place] : places)
      if (key.starts_with("inlet.") && key != "inlet.kind")
        text::fail(place, key, "needs inlet.kind = \"flow\", \"pressure\" or \"opening\"");
    return;
  }
  setup.ideal.kind = inlet_kind(setup.inlet);
  setup.ideal.supply_pa = setup.supply_pa;
  const bool train = places.contains("inlet.peak");
  const bool sine = places.contains("inlet.mean") || places.contains("inlet.amplitude");
  const bool table = places.contains("inlet.times") || places.contains("inlet.values");
  if (train + sine + table == 0)
    wrong(places, file, "inlet",
          "needs a history: peak (a train), mean and amplitude (a sine), or times and values");
  if (train + sine + table > 1)
    wrong(places, file, table ? "inlet.times" : "inlet.mean",
          "contradicts another form of history: a train, a sine or a table, one of them");
  if (table) {
    if (!places.contains("inlet.times")) wrong(places, file, "inlet.values", "needs inlet.times");
    for (std::size_t i = 0; i < setup.history.knots.size(); ++i) {
      const model::HistoryKnot& knot = setup.history.knots[i];
      if (knot.time_s < 0.0 || !(knot.value == knot.value))
        wrong(places, file, "inlet.values", "must be as many as inlet.times");
      if (i > 0 && knot.time_s < setup.history.knots[i - 1].time_s)
        wrong(places, file, "inlet.times", "must not fall back");
    }
    return;
  }
  if (sine) {
    setup.history.frequency_hz = setup.train.frequency_hz;
    if (!(setup.train.frequency_hz > 0.0))
      wrong(places, file, "inlet.mean", "a sine needs inlet.frequency above 0");
    return;
  }
  const double busy_s = setup.train.rise_s + setup.train.hold_s + setup.train.fall_s;
  if (setup.train.pulses > 1 &&
      !(busy_s * setup.train.frequency_hz <= 1.0 && setup.train.frequency_hz > 0.0))
    wrong(
        places, file, "inlet.frequency",
        "must be above 0 and leave room for rise, hold and fall when there is more than one pulse");
  setup.history.knots = knots_of(setup.train);
}

}  // namespace sim::rig
