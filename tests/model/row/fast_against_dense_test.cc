// The fast form (friction at stations, fitted kernel, midpoint valve) against the dense one
// (friction and 26-term kernel in every cell, valve by Odeint inside the step) at half the step.
// Limits: 0.15 mm (trains: 0.35) on start, end and centre at 16 km/h and 0.3 % of the dose; 0.4 mm
// for 20 mm bands
// at 45 and 90 Hz. They are the project's own goals; no outside source. The default stations and
// terms were chosen on these rows, so the worst figure flatters: DISABLED_Neighbours and
// model/README.md give rows that took no part in the choice.
#include <gtest/gtest.h>

#include <cmath>
#include <cstdio>

#include "tests/support/fast_cases.h"

namespace model {
namespace {

constexpr double kLongLimit_m = 0.15e-3;
// A train with vapour in its lines is one sample of the Neighbours table, whose worst is 0.33.
constexpr double kTrainLimit_m = 0.35e-3;
constexpr double kShortLimit_m = 0.4e-3;
constexpr double kDoseLimit_ratio = 3e-3;

SolverParams dense_at(std::int64_t step_ns) {
  SolverParams solver;
  solver.form = LineForm::kDense;
  solver.step_ns = step_ns;
  return solver;
}

struct Worst {
  double long_m = 0.0;
  double short_m = 0.0;
  double dose_ratio = 0.0;
  void take(const support::BandCase& one, const BandShape& found, const BandShape& exact) {
    const double distance_m = support::band_distance_m(found, exact);
    double& worst_m = one.short_band ? short_m : long_m;
    worst_m = std::max(worst_m, distance_m);
    if (!one.short_band)
      dose_ratio = std::max(dose_ratio, std::abs(found.dose_m3 / exact.dose_m3 - 1.0));
  }
};

void print_row(const char* name, const BandShape& found, const BandShape& exact) {
  std::printf("%-46s %7.2f %7.2f mm %6.1f ul | %+.3f %+.3f %+.3f mm %+.2f %%\n", name,
              1e3 * exact.start_x_ground_m, 1e3 * exact.end_x_ground_m, 1e9 * exact.dose_m3,
              1e3 * (found.start_x_ground_m - exact.start_x_ground_m),
              1e3 * (found.end_x_ground_m - exact.end_x_ground_m),
              1e3 * (found.centre_x_ground_m - exact.centre_x_ground_m),
              100.0 * (found.dose_m3 / exact.dose_m3 - 1.0));
}

TEST(FastAgainstDense, BandsAgree) {
  std::printf("dense at 5 us: start, end, dose | fast less dense: start, end, centre, dose\n");
  Worst worst;
  for (const support::BandCase& one : support::band_cases()) {
    const BandShape exact = support::last_band(one, dense_at(5000));
    const BandShape fast = support::last_band(one, SolverParams{});
    print_row(one.name.c_str(), fast, exact);
    worst.take(one, fast, exact);
    const double limit_m = one.short_band   ? kShortLimit_m
                           : one.pulses > 1 ? kTrainLimit_m
                                            : kLongLimit_m;
    EXPECT_LT(support::band_distance_m(fast, exact), limit_m) << one.name;
    if (!one.short_band) {
      EXPECT_LT(std::abs(fast.dose_m3 / exact.dose_m3 - 1.0), kDoseLimit_ratio) << one.name;
    }
  }
  std::printf("worst: %.3f mm, dose %.2f %%; 20 mm bands %.3f mm\n", 1e3 * worst.long_m,
              100.0 * worst.dose_ratio, 1e3 * worst.short_m);
  RecordProperty("worst_mm", std::to_string(1e3 * worst.long_m));
  RecordProperty("worst_short_mm", std::to_string(1e3 * worst.short_m));
  RecordProperty("worst_dose_percent", std::to_string(100.0 * worst.dose_ratio));
}

void print_table_row(const char* name, const SolverParams& solver,
                     const std::vector<support::BandCase>& cases,
                     const std::vector<BandShape>& exact) {
  Worst worst;
  for (std::size_t i = 0; i < cases.size(); ++i)
    worst.take(cases[i], support::last_band(cases[i], solver), exact[i]);
  std::printf("| %-28s | %.3f | %.2f | %.3f |\n", name, 1e3 * worst.long_m,
              100.0 * worst.dose_ratio, 1e3 * worst.short_m);
}

// The tables of model/README.md; run with --gtest_also_run_disabled_tests.
TEST(FastAgainstDense, DISABLED_Tables) {
  const auto cases = support::band_cases();
  std::vector<BandShape> exact;
  for (const auto& one : cases) exact.push_back(support::last_band(one, dense_at(5000)));
  std::printf("| form | worst mm | dose %% | 20 mm bands mm |\n| --- | --- | --- | --- |\n");
  print_table_row("dense, 10 us", dense_at(10000), cases, exact);
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

// Rows beside those of BandsAgree, on which no number of stations or terms was chosen: lengths,
// pressure and viscosity moved by a few per cent. Run with --gtest_also_run_disabled_tests.
TEST(FastAgainstDense, DISABLED_Neighbours) {
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
  for (const auto& one : cases) exact.push_back(support::last_band(one, dense_at(5000)));
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
  print("dense, 10 us", dense_at(10000));
  for (const Form& form : kForms) {
    SolverParams solver;
    solver.hose_stations = form.hose;
    solver.tube_stations = form.tube;
    solver.kernel_terms = form.terms;
    print(form.name, solver);
  }
}

// The step alone: each fast run against the fast run at 2.5 us, per case.
TEST(FastAgainstDense, DISABLED_StepConvergence) {
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

}  // namespace
}  // namespace model
