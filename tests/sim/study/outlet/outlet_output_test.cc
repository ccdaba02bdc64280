// Files and page of `outlet`: whole, in SI, readable without scripts, with a section that a run's
// report can take over.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <nlohmann/json.hpp>

#include "sim/study/outlet/outlet_report.h"
#include "sim/study/outlet/outlet_tables.h"
#include "tests/support/example_result.h"
#include "tests/support/report_text.h"
#include "tests/support/small_outlet.h"

namespace {

using ::testing::HasSubstr;
using ::testing::Not;

const sim::outlet::OutletResult& example() {
  static const sim::outlet::OutletResult result = [] {
    sim::outlet::OutletResult made =
        sim::outlet::run_outlet_study(sim_test::quiet_demo(), sim_test::small_outlet());
    sim::outlet::seal(made);
    return made;
  }();
  return result;
}

}  // namespace

// 1.6 mm is 62.99 thousandths of an inch.
TEST(OutletOutput, BoresAreInMillimetresAndThousandths) {
  EXPECT_EQ(sim::outlet::bore_words(1.6e-3), "1.60 mm (63 thousandths)");
}

TEST(OutletOutput, SentenceHasTheFigureFirstInEitherUnits) {
  const std::string metric = sim::outlet::outlet_sentence(example(), sim::output::Units::kMetric);
  EXPECT_EQ(metric.find("1."), 0u) << metric;
  EXPECT_THAT(metric, HasSubstr("tube holds its liquid"));
  EXPECT_THAT(metric, HasSubstr("30 to 60 Hz"));
  EXPECT_THAT(metric, HasSubstr(" bar for 56.1 l/ha at 16 km/h"));
  EXPECT_THAT(sim::outlet::outlet_sentence(example(), sim::output::Units::kUs),
              HasSubstr("6.00 gal/ac"));
}

TEST(OutletOutput, SummaryHoldsRecommendedStatedAndHashes) {
  const auto json = nlohmann::json::parse(sim::outlet::outlet_json(example()));
  EXPECT_EQ(json["schema"], "sillion.outlet.1");
  EXPECT_EQ(json["counts"]["judged"], 4);
  EXPECT_EQ(json["recommended"]["rates"].size(), 2u);
  EXPECT_TRUE(json["recommended"]["works"].get<bool>());
  EXPECT_DOUBLE_EQ(json["stated"]["outlet_bore_m"].get<double>(), 1.6e-3);
  EXPECT_EQ(json["hashes"]["result"].get<std::string>().size(), 16u);
}

TEST(OutletOutput, CandidatesHaveALineEachAndAsManyColumns) {
  const std::string csv = sim::outlet::candidates_csv(example());
  EXPECT_EQ(std::count(csv.begin(), csv.end(), '\n'), 5);
  const std::string head = csv.substr(0, csv.find('\n'));
  const std::string last = csv.substr(csv.rfind('\n', csv.size() - 2) + 1);
  EXPECT_EQ(std::count(head.begin(), head.end(), ','), std::count(last.begin(), last.end(), ','));
}

TEST(OutletOutput, PageIsSelfContainedAndShowsWhatItRestsOn) {
  const std::string page = support::without_script(
      sim::outlet::outlet_report_html(example(), sim::output::Units::kMetric));
  EXPECT_THAT(page, Not(HasSubstr("<script")));
  EXPECT_THAT(page, Not(HasSubstr("http://")));
  EXPECT_THAT(page, HasSubstr("Pareto list"));
  EXPECT_THAT(page, HasSubstr("common practice, no source"));
  EXPECT_THAT(page, HasSubstr("No bench or field validation"));
  EXPECT_THAT(page, HasSubstr("Bleed them"));
}

TEST(OutletOutput, RunTakesTheSectionOverAndWithoutItNothingChanges) {
  const sim::run::ReportExtras extras{
      sim::outlet::outlet_extra(example(), sim::output::Units::kMetric)};
  const sim::run::RunResult run = tests::example_run();
  const std::string with = sim::run::run_report_html(run, sim::output::Units::kMetric, extras);
  const std::string without = sim::run::run_report_html(run, sim::output::Units::kMetric);
  EXPECT_THAT(with, HasSubstr("Outlet, tube and hose"));
  EXPECT_THAT(without, Not(HasSubstr("Outlet, tube and hose")));
  std::string cut = with;
  cut.erase(cut.find(extras[0].section), extras[0].section.size());
  EXPECT_EQ(cut, without);
}
