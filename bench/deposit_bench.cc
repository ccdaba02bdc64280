// Cost of one pulse's band: 2000 parcels of a rising jet, flight included. It is needed 30 times
// per second and row.
#include <benchmark/benchmark.h>

#include <cmath>
#include <vector>

#include "model/furrow/deposit.h"
#include "model/furrow/outlet_jet.h"

namespace {

constexpr int kParcels = 2000;

// A jet that climbs to its steady speed in steps of reflections, as behind a long tube.
std::vector<double> jet_speeds_mps() {
  std::vector<double> speeds_mps;
  for (int i = 0; i < kParcels; ++i) {
    const double time_s = i * 1e-5;
    const double climb = 1.0 - 0.6 * std::exp(-std::floor(time_s / 4.5e-3));
    speeds_mps.push_back(14.0 * climb + 0.4 * std::sin(900.0 * time_s));
  }
  return speeds_mps;
}

void fill(std::vector<model::Parcel>& parcels, const std::vector<double>& speeds_mps) {
  const model::JetAim aim{};
  parcels.clear();
  for (std::size_t i = 0; i < speeds_mps.size(); ++i) {
    const double x_m =
        4.444 * 1e-5 * static_cast<double>(i) + model::jet_reach_m(speeds_mps[i], 4.444, aim);
    parcels.push_back({x_m, 1e-11 * speeds_mps[i]});
  }
}

void flight_of_a_pulse(benchmark::State& state) {
  const auto speeds_mps = jet_speeds_mps();
  std::vector<model::Parcel> parcels;
  for (auto _ : state) {
    fill(parcels, speeds_mps);
    benchmark::DoNotOptimize(parcels.data());
  }
}
BENCHMARK(flight_of_a_pulse)->Unit(benchmark::kMicrosecond);

void flight_and_band_of_a_pulse(benchmark::State& state) {
  const auto speeds_mps = jet_speeds_mps();
  std::vector<model::Parcel> parcels;
  for (auto _ : state) {
    fill(parcels, speeds_mps);
    benchmark::DoNotOptimize(model::band_shape(parcels));
  }
}
BENCHMARK(flight_and_band_of_a_pulse)->Unit(benchmark::kMicrosecond);

}  // namespace
