#include "sim/study/delay/delay_tables.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "tests/sim/study/delay/delay_inputs.h"
#include "tests/support/scratch_folder.h"

namespace {

using testing::HasSubstr;

TEST(DelayTables, WhatIsWrittenLoadsAndRunsAsWell) {
  const ScratchFolder folder;
  const sim::delay::DelayInputs inputs = sim_test::ideal_inputs();
  sim::delay::DelayStudy study = sim::delay::run_delay_study(inputs);
  sim::delay::seal(study);
  const std::filesystem::path out = folder.path() / "out";
  sim::delay::write_delay(study, out, sim::output::Units::kMetric);
  const sim::scenario::DelayFile file = sim::scenario::read_delay_file(out / "delay.toml");
  EXPECT_EQ(file.table.check_sum, study.table.check_sum);
  EXPECT_EQ(sim::scenario::grade_of(file, inputs.scenario.attachment).grade, "simulated");

  // a scenario that names the table gives the controller just this one
  sim::scenario::Scenario scenario = inputs.scenario;
  scenario.controller.delay = sim::scenario::DelaySource::kTable;
  scenario.controller.given = file.table;
  const sim::run::RunResult run = sim::run::run_scenario(scenario);
  EXPECT_EQ(run.tuned.table.check_sum, study.table.check_sum);
  EXPECT_LT(std::fabs(run.summary.all.placement_error.mean_m), 1e-3);
}

TEST(DelayTables, TheSheetSaysGradeCautionCheckSumAndRanges) {
  sim::delay::DelayStudy study = sim::delay::run_delay_study(sim_test::ideal_inputs());
  sim::delay::seal(study);
  const std::string sheet = sim::delay::delay_sheet_html(study, sim::output::Units::kMetric);
  for (const char* words : {"evidence grade: simulated", "Simulated timing is a design aid",
                            "check sum", "hold and flag", "Valid box"})
    EXPECT_THAT(sheet, HasSubstr(words));
}

}  // namespace
