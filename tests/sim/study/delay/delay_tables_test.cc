#include "sim/study/delay/delay_tables.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "tests/sim/study/delay/delay_inputs.h"
#include "tests/support/scratch_folder.h"

namespace {

using testing::HasSubstr;

TEST(DelayTables, WhatIsWrittenLoadsAndRunsAsWell) {
  const ScratchFolder folder;
  const sim::DelayInputs inputs = sim_test::ideal_inputs();
  sim::DelayStudy study = sim::run_delay_study(inputs);
  sim::seal(study);
  const std::filesystem::path out = folder.path() / "out";
  sim::write_delay(study, out, sim::Units::kMetric);
  const sim::DelayFile file = sim::read_delay_file(out / "delay.toml");
  EXPECT_EQ(file.table.check_sum, study.table.check_sum);
  EXPECT_EQ(sim::grade_of(file, inputs.scenario.attachment).grade, "simulated");

  // a scenario that names the table gives the controller just this one
  sim::Scenario scenario = inputs.scenario;
  scenario.controller.delay = sim::DelaySource::kTable;
  scenario.controller.given = file.table;
  const sim::RunResult run = sim::run_scenario(scenario);
  EXPECT_EQ(run.tuned.table.check_sum, study.table.check_sum);
  EXPECT_LT(std::fabs(run.summary.all.placement_error.mean_m), 1e-3);
}

TEST(DelayTables, TheSheetSaysGradeCautionCheckSumAndRanges) {
  sim::DelayStudy study = sim::run_delay_study(sim_test::ideal_inputs());
  sim::seal(study);
  const std::string sheet = sim::delay_sheet_html(study, sim::Units::kMetric);
  for (const char* words : {"evidence grade: simulated", "Simulated timing is a design aid",
                            "check sum", "hold and flag", "Valid box"})
    EXPECT_THAT(sheet, HasSubstr(words));
}

}  // namespace
