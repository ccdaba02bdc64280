// A figure that stands in two places of a report, or in a report and on the terminal, is the same
// figure: the reports of the demo's scenarios, shortened, are rendered and read as a person reads
// them.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>
#include <fstream>
#include <map>
#include <set>
#include <string>
#include <vector>

#include "tests/support/report_text.h"
#include "tests/support/run_program.h"

namespace {

using support::cells_of;
using support::Ended;
using support::ScratchFolder;
using support::table_line;
using support::text_of;
using ::testing::HasSubstr;
using ::testing::StartsWith;
using Lines = std::vector<std::string>;

/// The last cell but one of a table line: its value where a line has two columns.
std::string value_of(const Lines& lines, const std::string& start) {
  const std::vector<std::string> cells = table_line(lines, start);
  EXPECT_GE(cells.size(), 2u) << start;
  return cells.size() < 2 ? "" : cells[1];
}

/// Requirement | Requirements | Limit | Value | Margin | Worst at
std::string required_value(const Lines& lines, const std::string& start) {
  const std::vector<std::string> cells = table_line(lines, start);
  EXPECT_GE(cells.size(), 5u) << start;
  return cells.size() < 5 ? "" : cells[3];
}

/// Both are the same figure, though one may have more digits beside a limit: it rounds to the
/// other.
void expect_same(const std::string& fine, const std::string& coarse) {
  const auto decimals = [](const std::string& text) {
    const std::size_t point = text.find('.'), end = text.find(' ');
    return point == std::string::npos ? 0 : static_cast<int>(end - point - 1);
  };
  const auto number = [](std::string text) {
    if (text.starts_with("\u2212")) text.replace(0, 3, "-");  // a minus sign
    return std::stod(text);
  };
  const double last = std::pow(10.0, -decimals(coarse));
  EXPECT_LE(std::abs(number(fine) - number(coarse)), 0.5 * last + 1e-9)
      << fine << " against " << coarse;
}

class DemoReport : public ::testing::TestWithParam<const char*> {};

TEST_P(DemoReport, SaysEachFigureOnce) {
  const ScratchFolder scratch;
  const std::string scenario = std::string("scenarios/") + GetParam() + ".toml";
  const Ended ended =
      support::sillion({"run", scenario, "--set", "seeds=60", "--set", "row.count=2", "--set",
                        "controller.row_trim=false", "--out", scratch.path().string()});
  ASSERT_LE(ended.code, 1) << ended.err;
  const Lines lines = support::report_lines(text_of(scratch.path() / "report.html"));
  const std::vector<std::string> within = table_line(lines, "within 10 mm");
  ASSERT_GE(within.size(), 4u);

  // the first sentence, on the page and on the terminal
  EXPECT_THAT(ended.out, StartsWith(within[1] + " of sensed seeds"));
  EXPECT_THAT(ended.out, HasSubstr("(" + within[3] + " of all placed)"));
  const std::string first = ended.out.substr(0, ended.out.find('\n'));
  EXPECT_NE(std::find(lines.begin(), lines.end(), first + "."), lines.end()) << first;

  // requirements against the tables below them
  expect_same(required_value(lines, "One-sided lower 95 % bound"), within[2]);
  expect_same(required_value(lines, "Mean of band centre less seed"),
              value_of(lines, "Placement error"));
  expect_same(required_value(lines, "Share of sensed seeds with a band of their own whose dose"),
              value_of(lines, "Dose within 10 %"));
  expect_same(required_value(lines, "Share of sensed seeds with a band of their own whose length"),
              value_of(lines, "Length within 10 mm"));
  expect_same(required_value(lines, "Liquid outside all wanted bands"),
              value_of(lines, "Gap share"));
  expect_same(required_value(lines, "Mean over bands of the share of the dose that leaves"),
              value_of(lines, "Secondary share"));

  // seeds by row and in all
  int placed = 0, sensed = 0;
  for (const char* row : {"0", "1"}) {
    const std::vector<std::string> cells = table_line(lines, row);
    ASSERT_GE(cells.size(), 3u);
    placed += std::stoi(cells[1]);
    sensed += std::stoi(cells[2]);
  }
  EXPECT_EQ(std::to_string(placed), value_of(lines, "Seeds placed"));
  EXPECT_EQ(std::to_string(sensed), value_of(lines, "Sensed: raised an edge"));
}

INSTANTIATE_TEST_SUITE_P(Every, DemoReport,
                         ::testing::Values("demo", "demo_ramp", "demo_curve", "demo_high_rate",
                                           "demo_marginal", "demo_gravity", "demo_manifold"),
                         [](const auto& one) { return std::string(one.param); });

/// A sweep of eight cells with ideal rows, some of which violate something.
std::string write_study(const ScratchFolder& scratch) {
  const std::filesystem::path file = scratch.path() / "study.toml";
  std::ofstream(file) << "base = \"" SILLION_SOURCE_DIR
                         "/scenarios/demo.toml\"\n"
                         "title = \"eight cells\"\nreplicas = 2\n"
                         "shown = [\"8 km/h\", \"0.15 m\"]\n"
                         "[set]\nseeds = 60\nrow.count = 2\ncontroller.row_trim = false\n"
                         "row.physics = \"ideal\"\n"
                         "[axes]\n\"travel.speed\" = [\"8 km/h\", \"16 km/h\"]\n"
                         "\"seeding.spacing\" = [\"0.08 m\", \"0.10 m\", \"0.15 m\", \"0.25 m\"]\n";
  return file.string();
}

double percent(const std::string& text) { return std::stod(text); }

struct SweptPage {
  Ended ended;
  std::string page;
  std::vector<std::vector<std::string>> cells;  // of the table of all cells
};

SweptPage swept() {
  const ScratchFolder scratch;
  SweptPage swept;
  swept.ended =
      support::sillion({"sweep", write_study(scratch), "--out", (scratch.path() / "o").string()});
  swept.page = text_of(scratch.path() / "o" / "report.html");
  for (const std::string& line : support::report_lines(swept.page)) {
    const std::vector<std::string> cells = cells_of(line);
    if (cells.size() >= 9 && cells[0].ends_with("km/h")) swept.cells.push_back(cells);
  }
  return swept;
}

TEST(SweepReport, HeadlineMapTableAndTerminalSayTheSame) {
  const SweptPage swept = ::swept();
  ASSERT_EQ(swept.cells.size(), 8u);
  const std::string first = swept.ended.out.substr(0, swept.ended.out.find('\n'));
  EXPECT_THAT(support::report_lines(swept.page), ::testing::Contains(first + "."));

  // the headline quotes the lowest share, at the cell where it is
  std::vector<std::string> lowest = swept.cells.front();
  int holds = 0;
  for (const std::vector<std::string>& cell : swept.cells) {
    if (percent(cell[3]) < percent(lowest[3])) lowest = cell;
    holds += cell[2] == "holds" ? 1 : 0;
  }
  EXPECT_THAT(first, StartsWith(lowest[3] + " of sensed seeds within 10 mm in the worst of 8 "
                                            "cells ("));
  EXPECT_THAT(first, HasSubstr("(" + lowest[0] + ", "));
  EXPECT_THAT(first, HasSubstr("holds in " + std::to_string(holds) + " of 8 cells"));
  EXPECT_EQ(swept.ended.code, holds == 8 ? 0 : 1);

  const std::vector<std::string> drawn = support::texts_of_pictures(swept.page);
  std::multiset<std::string> in_pictures(drawn.begin(), drawn.end());
  for (const std::vector<std::string>& cell : swept.cells) {
    // the map: share and further scatter, a plus before it
    EXPECT_TRUE(in_pictures.contains(cell[3])) << cell[3];
    EXPECT_TRUE(in_pictures.contains("+" + cell[8])) << cell[8];
    // the terminal: the same in one line
    EXPECT_THAT(swept.ended.out, ::testing::ContainsRegex(cell[3] + " +" + cell[4])) << cell[3];
    EXPECT_THAT(swept.ended.out, HasSubstr(cell[8] + "  " + cell[2]));
    if (cell[2] != "holds") {
      EXPECT_THAT(cell[2], StartsWith("violated: "));
    }
  }
}

TEST(SweepReport, TheFurtherScatterOfTheSentenceIsThatOfTheTable) {
  const SweptPage swept = ::swept();
  double least = 1e9, most = 0.0;
  int reaching = 0;
  std::string least_text, most_text;
  for (const std::vector<std::string>& cell : swept.cells) {
    const double more = std::stod(cell[8]);
    if (!(more > 0.0)) continue;
    ++reaching;
    if (more < least) least_text = cell[8];
    if (more > most) most_text = cell[8];
    least = std::min(least, more);
    most = std::max(most, more);
  }
  ASSERT_GT(reaching, 0);
  const std::string reached = "is reached in " + std::to_string(reaching) + " of 8 cells";
  EXPECT_THAT(support::report_lines(swept.page), ::testing::Contains(HasSubstr(reached)));
  EXPECT_THAT(support::report_lines(swept.page), ::testing::Contains(HasSubstr(least_text)));
  EXPECT_THAT(support::report_lines(swept.page), ::testing::Contains(HasSubstr(most_text)));
}

TEST(SweepReport, ItsSectionOnOnePassNamesThatPass) {
  EXPECT_THAT(support::report_lines(swept().page),
              ::testing::Contains(HasSubstr("One pass of the sweep: 8 km/h, 150 mm")));
}

}  // namespace
