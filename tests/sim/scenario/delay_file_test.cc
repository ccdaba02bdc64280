#include "sim/scenario/delay_file.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "sim/scenario/loader.h"
#include "sim/scenario/table_seal.h"
#include "tests/sim/demo_scenario.h"
#include "tests/support/scratch_folder.h"

namespace {

using testing::HasSubstr;

sim::scenario::DelayFile example(const sim::scenario::AttachmentSection& attachment) {
  sim::scenario::DelayFile file;
  for (const std::string& key : sim::scenario::delay_header_keys())
    file.header.emplace_back(key, "a \"word\"");
  sillion_attachment_table& table = file.table;
  table.delay_time_us = -6000;
  table.delay_distance_um = 158'000;
  table.points = 2;
  table.flow_mm3ps[0] = 6000;
  table.flow_mm3ps[1] = 30'000;
  table.pressure_pa[1] = 400'000;
  table.viscosity.points = 2;
  table.viscosity.at[0] = 1000;
  table.viscosity.at[1] = 5000;
  table.viscosity_pressure_q12[0] = 4096;
  table.viscosity_pressure_q12[1] = 4500;
  table = sim::scenario::sealed_table(table);
  file.trims_um = {1200, -300};
  file.speeds = {{.speed_mps = 2.0, .delay_s = 0.07, .residual_half_m = 1e-3},
                 {.speed_mps = 4.0, .delay_s = 0.03, .residual_half_m = 1e-3}};
  file.evidence.attachment_sum = sim::scenario::attachment_sum(attachment);
  file.evidence.holds_to_mps = 4.0;
  file.evidence.valid_box = "9 to 24 C";
  return file;
}

std::string message_of(const std::filesystem::path& path) {
  try {
    sim::scenario::read_delay_file(path);
  } catch (const sim::text::InputError& error) {
    return error.what();
  }
  return "";
}

TEST(DelayFile, ReadsBackAsItWasWritten) {
  const ScratchFolder folder;
  const sim::scenario::DelayFile file = example(sim_test::quiet_demo().attachment);
  const auto path = folder.write("one.delay.toml", sim::scenario::delay_file_text(file));
  const sim::scenario::DelayFile read = sim::scenario::read_delay_file(path);
  EXPECT_EQ(sim::scenario::delay_file_text(read), sim::scenario::delay_file_text(file));
  EXPECT_EQ(read.table.check_sum, file.table.check_sum);
  EXPECT_EQ(*read.word("valve"), "a \"word\"");
}

// A table without openings has the text and the check sum that it had before they could be stated.
TEST(DelayFile, OpeningsAreReadBackAndMayBeMissing) {
  const ScratchFolder folder;
  sim::scenario::DelayFile file = example(sim_test::quiet_demo().attachment);
  const std::uint32_t without = file.table.check_sum;
  EXPECT_EQ(sim::scenario::delay_file_text(file).find("opening_us"), std::string::npos);
  file.table.opening_us[0] = 2300;
  file.table.opening_us[1] = 2700;
  file.table = sim::scenario::sealed_table(file.table);
  EXPECT_NE(file.table.check_sum, without);
  const auto path = folder.write("one.delay.toml", sim::scenario::delay_file_text(file));
  const sim::scenario::DelayFile read = sim::scenario::read_delay_file(path);
  EXPECT_EQ(read.table.opening_us[0], 2300);
  EXPECT_EQ(read.table.opening_us[1], 2700);
  EXPECT_EQ(read.table.check_sum, file.table.check_sum);
}

TEST(DelayFile, AChangedNumberIsRefused) {
  const ScratchFolder folder;
  std::string text = sim::scenario::delay_file_text(example(sim_test::quiet_demo().attachment));
  text.replace(text.find("158000"), 6, "168000");
  EXPECT_THAT(message_of(folder.write("one.delay.toml", text)), HasSubstr("check_sum"));
}

TEST(DelayFile, AnotherFileIsNoDelayTable) {
  const ScratchFolder folder;
  EXPECT_THAT(message_of(folder.write("one.delay.toml", "title = \"x\"\n")),
              HasSubstr("no delay table"));
}

TEST(Grade, EveryCheckIsAsked) {
  const sim::scenario::AttachmentSection attachment = sim_test::quiet_demo().attachment;
  const sim::scenario::DelayFile whole = example(attachment);
  EXPECT_EQ(sim::scenario::grade_of(whole, attachment).grade, "simulated");

  sim::scenario::DelayFile lacking = whole;
  lacking.header.pop_back();
  EXPECT_THAT(sim::scenario::grade_of(lacking, attachment).why_not, HasSubstr("spacing"));
  lacking = whole;
  lacking.evidence.valid_box.clear();
  EXPECT_THAT(sim::scenario::grade_of(lacking, attachment).why_not, HasSubstr("valid box"));
  lacking = whole;
  lacking.speeds[0].delay_s = -1e-3;
  EXPECT_THAT(sim::scenario::grade_of(lacking, attachment).why_not, HasSubstr("negative"));
  sim::scenario::AttachmentSection other = attachment;
  other.outlet.bore_m *= 1.1;
  EXPECT_THAT(sim::scenario::grade_of(whole, other).why_not,
              HasSubstr("changed after it was tuned"));
}

TEST(Grade, ABenchGradeNeedsDatePointsAndScatter) {
  const sim::scenario::AttachmentSection attachment = sim_test::quiet_demo().attachment;
  sim::scenario::DelayFile file = example(attachment);
  file.evidence.grade = "bench";
  file.table.evidence_grade = 1;
  EXPECT_THAT(sim::scenario::grade_of(file, attachment).why_not, HasSubstr("date"));
  file.evidence.date = "2026-04-18";
  file.evidence.measured_speeds = 1;
  EXPECT_THAT(sim::scenario::grade_of(file, attachment).why_not, HasSubstr("two speeds"));
  file.evidence.measured_speeds = 2;
  file.evidence.measured_points = 6;
  EXPECT_THAT(sim::scenario::grade_of(file, attachment).why_not, HasSubstr("scatter"));
  file.evidence.scatter_m = 2e-3;
  EXPECT_EQ(sim::scenario::grade_of(file, attachment).grade, "bench");
}

}  // namespace
