// The strip test's papers: a true ruler, a field for every band, and readings that come back whole.
#include "sim/study/delay/strip_sheet.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>
#include <filesystem>

#include "sim/command/strip_test_command.h"
#include "sim/study/delay/strip_readings_csv.h"
#include "tests/support/scratch_folder.h"

namespace {

using ::testing::HasSubstr;

int count_of(const std::string& text, const std::string& word) {
  int count = 0;
  for (std::size_t at = text.find(word); at != std::string::npos; at = text.find(word, at + 1))
    ++count;
  return count;
}

}  // namespace

// Width in mm equals the width of its own frame, so one unit of the drawing is one millimetre.
TEST(StripSheet, RulerIsDrawnOneToOne) {
  const std::string svg = sim::delay::ruler_svg();
  EXPECT_THAT(svg, HasSubstr("width=\"180mm\""));
  EXPECT_THAT(svg, HasSubstr("viewBox=\"0 0 180 24\""));
  EXPECT_THAT(svg, HasSubstr("x1=\"40.00\" y1=\"16.00\" x2=\"140.00\" y2=\"16.00\""));
  // 181 marks, the base line, the check line and its two ends
  EXPECT_EQ(count_of(svg, "<line"), 185);
}

TEST(StripSheet, HasAFieldForEveryBandAndTheCautions) {
  const sim::delay::StripPlan plan = sim::delay::plan_strip({.rows = 20});
  const std::string html = sim::delay::strip_sheet_html(plan, "rake", sim::output::Units::kMetric);
  EXPECT_EQ(count_of(html, "<td style=\"border"), 20 * plan.bands * plan.runs());
  EXPECT_THAT(html, HasSubstr("raised planter"));
  EXPECT_THAT(html, HasSubstr("radio command can fire a valve"));
  EXPECT_THAT(html, HasSubstr("treated seed"));
  EXPECT_EQ(count_of(html, "http"), 1 + 1);  // http-equiv and the drawing's name space
}

// The template is typed in by hand: with an offset behind every last comma it reads back.
TEST(StripSheet, FilledTemplateReadsBack) {
  const ScratchFolder folder;
  const sim::delay::StripPlan plan = sim::delay::plan_strip({.rows = 3});
  for (const sim::output::Units units : {sim::output::Units::kMetric, sim::output::Units::kUs}) {
    std::string csv = sim::delay::strip_readings_template_csv(plan, units);
    for (std::size_t at = csv.find(",\n"); at != std::string::npos; at = csv.find(",\n", at + 1))
      csv.insert(at + 1, "-2.5");
    const auto readings = sim::delay::read_strip_readings(folder.write("filled.csv", csv));
    EXPECT_EQ(readings.size(), static_cast<std::size_t>(3 * plan.bands * plan.runs()));
    const sim::delay::StripFit fit = sim::delay::fit_strip(readings);
    EXPECT_EQ(fit.runs, plan.runs());
    EXPECT_NEAR(fit.distance_m, -2.5e-3, 1e-12);
    EXPECT_NEAR(fit.time_s, 0.0, 1e-12);
  }
}

TEST(StripSheet, CommandWritesPlanThenResult) {
  const ScratchFolder folder;
  sim::scenario::Scenario scenario;
  scenario.name = "rake";
  scenario.travel.speed_mps = 4.4;
  scenario.row.count = 2;
  EXPECT_EQ(sim::command::strip_test(scenario, {.out = folder.path() / "plan"}), 0);
  for (const char* name : {"strip_sheet.html", "strip_readings.csv", "strip_plan.json"})
    EXPECT_TRUE(std::filesystem::exists(folder.path() / "plan" / name)) << name;
  const auto readings =
      folder.write("r.csv",
                   "speed [km/h],row,band,offset [mm]\n16,0,0,1\n16,0,1,2\n16,1,0,"
                   "3\n16,1,1,5\n8,0,0,1\n8,0,1,2\n8,1,0,3\n8,1,1,4\n");
  EXPECT_EQ(
      sim::command::strip_test(scenario, {.readings = readings, .out = folder.path() / "result"}),
      0);
  EXPECT_TRUE(std::filesystem::exists(folder.path() / "result" / "strip_result.html"));
}
