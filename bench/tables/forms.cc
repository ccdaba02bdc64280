// How much the fast form of a row errs against the dense one, by stations, terms and step: the
// tables of model/README.md.
//
// The limits above which a band counts as over are those of
// tests/model/row/fast_against_dense_test.cc.
#include <algorithm>
#include <cmath>
#include <cstdio>
#include <utility>
#include <vector>

#include "bench/tables/tables.h"
#include "tests/support/fast_cases.h"

namespace bench {
namespace {

using model::BandShape;
using model::SolverParams;

constexpr double kLongLimit_m = 0.15e-3;
constexpr double kShortLimit_m = 0.4e-3;

void print_table_row(const char* name, const SolverParams& solver,
                     const std::vector<support::BandCase>& cases,
                     const std::vector<BandShape>& exact) {
  support::WorstBand worst;
  for (std::size_t i = 0; i < cases.size(); ++i)
    worst.take(cases[i], support::last_band(cases[i], solver), exact[i]);
  std::printf("| %-28s | %.3f | %.2f | %.3f |\n", name, 1e3 * worst.long_m,
              100.0 * worst.dose_ratio, 1e3 * worst.short_m);
}

}  // namespace

void print_forms() {
  const auto cases = support::band_cases();
  std::vector<BandShape> exact;
  for (const auto& one : cases) exact.push_back(support::last_band(one, support::dense_at(5000)));
  std::printf("| form | worst mm | dose %% | 20 mm bands mm |\n| --- | --- | --- | --- |\n");
  print_table_row("dense, 10 us", support::dense_at(10000), cases, exact);
  char name[64];
  for (const std::int64_t step_ns : {20000, 10000, 5000, 2500}) {
    SolverParams solver;
    solver.step_ns = step_ns;
    std::snprintf(name, sizeof name, "6 + 12, K 5, %.1f us", 1e-3 * static_cast<double>(step_ns));
    print_table_row(name, solver, cases, exact);
  }
  for (const auto& [hose, tube] : {std::pair{4, 8}, {4, 12}, {6, 12}, {8, 12}, {8, 16}, {12, 24}})
    for (const int terms : {0, 3, 5, 6, 8, 10}) {
      SolverParams solver;
      solver.hose_stations = hose;
      solver.tube_stations = tube;
      solver.kernel_terms = terms;
      std::snprintf(name, sizeof name, "%d + %d, K %d, 10 us", hose, tube, terms);
      print_table_row(name, solver, cases, exact);
    }
}

void print_neighbours() {
  struct Form {
    const char* name;
    int hose, tube, terms;
  };
  constexpr Form kForms[] = {{"4 + 8, K 5", 4, 8, 5},
                             {"6 + 12, K 5", 6, 12, 5},
                             {"8 + 16, K 8", 8, 16, 8},
                             {"12 + 24, K 8", 12, 24, 8}};
  std::vector<support::BandCase> cases;
  for (const int way : {0, 1, 2})
    for (support::BandCase one : support::band_cases()) {
      one.supply_pressure_pa *= way == 0 ? 1.03 : way == 1 ? 0.97 : 1.01;
      one.row.tube.length_m *= way == 0 ? 1.011 : way == 1 ? 1.0 : 0.989;
      one.row.hose.length_m *= way == 0 ? 0.987 : way == 1 ? 1.017 : 1.0;
      one.row.liquid.viscosity_pas *= way == 0 ? 1.05 : way == 1 ? 0.95 : 1.02;
      cases.push_back(one);
    }
  std::vector<BandShape> exact;
  for (const auto& one : cases) exact.push_back(support::last_band(one, support::dense_at(5000)));
  std::printf("| form | one pulse: over / of, worst | 30 Hz | 20 mm bands |\n");
  const auto print = [&](const char* name, const SolverParams& solver) {
    int over[3] = {}, of[3] = {};
    double worst_m[3] = {}, dose_ratio = 0.0;
    for (std::size_t i = 0; i < cases.size(); ++i) {
      const int kind = cases[i].short_band ? 2 : cases[i].pulses > 1 ? 1 : 0;
      const BandShape found = support::last_band(cases[i], solver);
      const double far_m = support::band_distance_m(found, exact[i]);
      ++of[kind];
      if (far_m > (kind == 2 ? kShortLimit_m : kLongLimit_m)) ++over[kind];
      worst_m[kind] = std::max(worst_m[kind], far_m);
      if (kind < 2)
        dose_ratio = std::max(dose_ratio, std::abs(found.dose_m3 / exact[i].dose_m3 - 1.0));
    }
    std::printf("| %s |", name);
    for (int kind = 0; kind < 3; ++kind)
      std::printf(" %d / %d, %.3f mm |", over[kind], of[kind], 1e3 * worst_m[kind]);
    std::printf(" dose %.2f %%\n", 100.0 * dose_ratio);
  };
  print("dense, 10 us", support::dense_at(10000));
  for (const Form& form : kForms) {
    SolverParams solver;
    solver.hose_stations = form.hose;
    solver.tube_stations = form.tube;
    solver.kernel_terms = form.terms;
    print(form.name, solver);
  }
}

void print_steps() {
  std::printf("| case | 20 us | 10 us | 5 us |  (start / end / centre less those at 2.5 us, mm)\n");
  for (const support::BandCase& one : support::band_cases()) {
    SolverParams fine;
    fine.step_ns = 2500;
    const BandShape exact = support::last_band(one, fine);
    std::printf("| %s |", one.name.c_str());
    for (const std::int64_t step_ns : {20000, 10000, 5000}) {
      SolverParams solver;
      solver.step_ns = step_ns;
      const BandShape found = support::last_band(one, solver);
      std::printf(" %+.3f / %+.3f / %+.3f |",
                  1e3 * (found.start_x_ground_m - exact.start_x_ground_m),
                  1e3 * (found.end_x_ground_m - exact.end_x_ground_m),
                  1e3 * (found.centre_x_ground_m - exact.centre_x_ground_m));
    }
    std::printf("\n");
  }
}

}  // namespace bench
