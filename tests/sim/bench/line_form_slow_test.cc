// Every attachment of the catalog over liquids, pressures and rates: the form that a row gets,
// against the dense form at a quarter of the step. Prints the table; a row holds, or it is named as
// one that depends on the step. The limits are this project's goals and have no outside source; a
// form is judged on the dense form at its own step, which differs from that at a quarter, so a row
// may exceed its limit by half of it here.
#include <gtest/gtest.h>

#include <cstdio>

#include "tests/sim/bench/line_form_cases.h"

namespace sim::bench {
namespace {

TEST(LineFormTable, EveryRowHoldsOrIsNamed) {
  std::printf(
      "attachment, liquid, bar, Hz, scatter | as asked mm, %% | taken: tube places, mm, %% | "
      "step x 2 moves mm, %%\n");
  int finer = 0, dense_rows = 0, named = 0, rows = 0;
  for (const char* attachment : {"short rake", "side saddle", "swan neck", "long hook"})
    for (const char* liquid : {"invented starter", "water"})
      for (const double pressure_pa : {1.5e5, 3e5, 5e5})
        for (const double rate_hz : {30.0, 60.0, 90.0})
          for (const double scatter_ratio : {0.0, 0.12}) {
            const support::FormRow one =
                support::form_row({attachment, liquid, pressure_pa, rate_hz, scatter_ratio});
            const FormChoice form = judge_line_form(one.row, {}, one.train);
            if (!form.judged) continue;
            model::SolverParams dense;
            dense.form = model::LineForm::kDense;
            dense.step_ns = 2500;
            const auto exact = run_train(one.row, dense, one.train);
            const BandDifference asked = difference_of(run_train(one.row, {}, one.train), exact);
            const BandDifference taken =
                difference_of(run_train(one.row, form.solver, one.train), exact);
            const bool in_every_cell = form.solver.form == model::LineForm::kDense;
            ++rows;
            dense_rows += in_every_cell ? 1 : 0;
            finer += !in_every_cell && form.solver.tube_stations > 12 ? 1 : 0;
            named += form.depends_on_step() ? 1 : 0;
            std::printf(
                "%-11s %-16s %.1f %2.0f %.2f%s | %6.3f %5.2f | %5s %6.3f %5.2f | %6.3f %5.2f%s\n",
                attachment, liquid, 1e-5 * pressure_pa, rate_hz, scatter_ratio,
                form.vapour ? " vapour" : "       ", 1e3 * asked.places_m, 100.0 * asked.dose_ratio,
                in_every_cell ? "dense" : std::to_string(form.solver.tube_stations).c_str(),
                1e3 * taken.places_m, 100.0 * taken.dose_ratio, 1e3 * form.own.places_m,
                100.0 * form.own.dose_ratio, form.depends_on_step() ? " depends" : "");
            if (form.depends_on_step()) continue;
            EXPECT_LT(taken.places_m, 1.5 * form.limit_m)
                << attachment << ", " << liquid << ", " << pressure_pa << " Pa, " << rate_hz;
            EXPECT_LT(taken.dose_ratio, 1.5 * FormChoice::kDose_ratio)
                << attachment << ", " << liquid << ", " << pressure_pa << " Pa, " << rate_hz;
          }
  std::printf("%d rows: %d with more places, %d dense, %d depend on the step\n", rows, finer,
              dense_rows, named);
}

}  // namespace
}  // namespace sim::bench
