// Files, page and sentences of a budget, and the command that makes them.
#include "sim/study/budget/budget_tables.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <nlohmann/json.hpp>
#include <sstream>

#include "sim/study/budget/budget_report.h"
#include "sim/study/run/tables.h"
#include "tests/sim/demo_scenario.h"
#include "tests/support/example_result.h"
#include "tests/support/run_program.h"

namespace {

using support::sillion;
using testing::HasSubstr;
using testing::Not;
using Json = nlohmann::json;

/// Written by hand: 4 seeds in 2 rows, two effects, a radio that no pass models.
sim::budget::BudgetResult by_hand(double interaction_ratio) {
  sim::budget::BudgetResult result;
  result.scenario = tests::example_scenario();
  result.tuned = tests::example_run().tuned;
  result.summary = tests::example_run().summary;
  result.seeds = {{0, 0, 4e-3}, {0, 2, -2e-3}, {1, 0, 6e-3}, {1, 1, 0.0}};
  const auto part = [](const char* key, const char* name, sim::budget::PartKind kind,
                       std::vector<double> part_m, double share_ratio) {
    sim::budget::BudgetPart made{
        .key = key, .name = name, .ideal = "none", .kind = kind, .part_m = std::move(part_m)};
    made.figures.error_share_ratio = made.figures.variance_share_ratio = share_ratio;
    made.figures.mean_m = 1e-3;
    made.figures.sd_m = made.figures.abs_p95_m = 2e-3;
    return made;
  };
  result.parts = {
      part("jet", "outlet <and> jet", sim::budget::PartKind::kEffect, {1e-3, 0.0, 1e-3, 0.0}, 0.25),
      part("seed_bounce", "seed bounce", sim::budget::PartKind::kEffect, {3e-3, -2e-3, 5e-3, 0.0},
           0.75),
      part("radio", "radio", sim::budget::PartKind::kNotModelled, {0.0, 0.0, 0.0, 0.0}, 0.0),
      part("remains", "table", sim::budget::PartKind::kRemains, {0.0, 0.0, 0.0, 0.0}, 0.0)};
  result.error = result.parts[0].figures;
  result.counts = {.placed = 9, .counted = 4, .merged = 3, .edge_missed = 2};
  result.interaction = {.removed_ratio = interaction_ratio, .present_ratio = 0.01};
  return result;
}

TEST(BudgetTables, NameTheLargestPartFigureFirst) {
  const std::string sentence =
      sim::budget::budget_sentence(by_hand(0.03), sim::output::Units::kMetric);
  EXPECT_THAT(sentence, HasSubstr("of sensed seeds within 10 mm"));
  EXPECT_THAT(sentence, HasSubstr("largest part of the error: seed bounce"));
  EXPECT_TRUE(sentence.front() >= '0' && sentence.front() <= '9') << sentence;
}

TEST(BudgetTables, NameNoPartAboveTheLimitOfTheInteraction) {
  const sim::budget::BudgetResult result = by_hand(0.31);
  EXPECT_THAT(sim::budget::budget_sentence(result, sim::output::Units::kMetric),
              Not(HasSubstr("largest part")));
  EXPECT_THAT(sim::budget::budget_sentence(result, sim::output::Units::kMetric),
              HasSubstr("31.0 %"));
  EXPECT_THAT(sim::budget::interaction_sentence(result),
              HasSubstr("nothing below is to be trusted"));
  EXPECT_THAT(sim::budget::budget_report_html(result, sim::output::Units::kMetric),
              HasSubstr("nothing below is to be trusted"));
}

TEST(BudgetTables, TheInteractionStandsFirst) {
  const auto json = nlohmann::ordered_json::parse(sim::budget::budget_json(by_hand(0.03)));
  auto key = json.begin();
  EXPECT_EQ(key.key(), "schema");
  EXPECT_EQ((++key).key(), "interaction");
  const std::string section =
      sim::budget::budget_section(by_hand(0.03), sim::output::Units::kMetric);
  EXPECT_LT(section.find("Interaction remainder"), section.find("<svg"));
  EXPECT_LT(section.find("Interaction remainder"), section.find("<table"));
}

TEST(BudgetTables, PartsStandByShareAndTheRadioSaysThatItIsNotModelled) {
  const Json json = Json::parse(sim::budget::budget_json(by_hand(0.03)));
  EXPECT_EQ(json["parts"][0]["key"], "seed_bounce");
  EXPECT_EQ(json["parts"][1]["key"], "jet");
  EXPECT_EQ(json["parts"][3]["kind"], "not_modelled");
  EXPECT_THAT(sim::budget::budget_section(by_hand(0.03), sim::output::Units::kMetric),
              HasSubstr("radio (not modelled)"));
}

TEST(BudgetTables, SayWhereTheSeedsWent) {
  const std::string sentence = sim::budget::counted_sentence(by_hand(0.03));
  EXPECT_THAT(sentence, HasSubstr("4 of 9 placed seeds are counted"));
  EXPECT_THAT(sentence, HasSubstr("3 in a merged stretch, 2 not sensed"));
}

TEST(BudgetTables, TheCsvHasALineASeedAndAColumnAPart) {
  const std::string csv = sim::budget::budget_csv(by_hand(0.03));
  EXPECT_THAT(csv, HasSubstr("row,seed,placement_error_m,jet_m,seed_bounce_m,radio_m,remains_m\n"));
  EXPECT_THAT(csv, HasSubstr("\n0,2,-0.002,0,-0.002,0,0\n"));
}

TEST(BudgetTables, TheResultHashSeesEveryPart) {
  sim::budget::BudgetResult a = by_hand(0.03), b = by_hand(0.03);
  b.parts[0].part_m[3] = 1e-6;
  sim::budget::seal(a);
  sim::budget::seal(b);
  EXPECT_NE(a.hashes.result, b.hashes.result);
  EXPECT_EQ(a.hashes.parameters, b.hashes.parameters);
}

TEST(BudgetTables, ARunsReportTakesThemAsASectionAndIsOtherwiseAsBefore) {
  const sim::run::RunResult run = tests::example_run();
  const std::string before = sim::run::run_report_html(run, sim::output::Units::kMetric);
  EXPECT_EQ(before, sim::run::run_report_html(run, sim::output::Units::kMetric, {}));
  const sim::run::ReportExtra extra =
      sim::budget::budget_extra(by_hand(0.03), sim::output::Units::kMetric);
  const std::string with = sim::run::run_report_html(run, sim::output::Units::kMetric, {extra});
  EXPECT_THAT(before, Not(HasSubstr("Whose error it is")));
  EXPECT_THAT(with, HasSubstr("Whose error it is"));
  EXPECT_LT(with.find("largest part of the error: seed bounce"), with.find("</h1>"));
}

/// Few seeds, and two ideal rows where the test is not about the liquid.
std::vector<std::string> short_budget(const std::filesystem::path& out,
                                      const std::vector<std::string>& more) {
  std::vector<std::string> words = {
      "budget", "scenarios/demo.toml",       "--out",    out.string(), "--seeds", "16",
      "--set",  "controller.row_trim=false", "--orders", "2"};
  words.insert(words.end(), more.begin(), more.end());
  return words;
}
std::vector<std::string> ideal_rows(std::vector<std::string> more) {
  more.insert(more.end(), {"--set", "row.count=2", "--set", "row.physics=\"ideal\""});
  return more;
}

TEST(BudgetCommand, GivesTheSameBytesWithOneAndTwoThreads) {
  const support::ScratchFolder scratch;
  for (const char* threads : {"1", "2"})
    EXPECT_EQ(sillion(short_budget(scratch.path() / threads,
                                   {"--threads", threads, "--set", "row.count=1"}))
                  .code,
              0);
  for (const char* file : {"summary.json", "budget.csv", "report.html"}) {
    const std::string one = support::text_of(scratch.path() / "1" / file);
    EXPECT_FALSE(one.empty()) << file;
    EXPECT_TRUE(one == support::text_of(scratch.path() / "2" / file)) << file;
  }
  std::istringstream lines(support::text_of(scratch.path() / "1" / "budget.csv"));
  std::string line;
  std::getline(lines, line);
  std::size_t seeds = 0;
  while (std::getline(lines, line)) {
    std::istringstream cells(line);
    std::string cell;
    std::vector<double> values;
    while (std::getline(cells, cell, ',')) values.push_back(std::stod(cell));
    double sum_m = 0.0;
    for (std::size_t k = 3; k < values.size(); ++k) sum_m += values[k];
    EXPECT_NEAR(sum_m, values[2], 1e-12);
    ++seeds;
  }
  EXPECT_GT(seeds, 8u);
}

TEST(BudgetCommand, DryRunSaysHowMuchAndRunsNothing) {
  const support::ScratchFolder scratch;
  const auto ended = sillion(short_budget(scratch.path() / "out", {"--dry-run"}));
  EXPECT_EQ(ended.code, 0);
  EXPECT_THAT(ended.out, HasSubstr("passes"));
  EXPECT_FALSE(std::filesystem::exists(scratch.path() / "out"));
}

TEST(BudgetCommand, MistakesAreNamedAndNothingIsWritten) {
  const support::ScratchFolder scratch;
  const auto out = scratch.path() / "out";
  EXPECT_EQ(sillion(short_budget(out, {"--set", "noise.outlet_mout=\"1 mm\""})).code, 2);
  EXPECT_EQ(sillion(short_budget(out, {"--orders", "1"})).code, 2);
  const auto negative =
      sillion(short_budget(out, ideal_rows({"--set", "attachment.outlet_offset=\"-200 mm\""})));
  EXPECT_EQ(negative.code, 2);
  EXPECT_THAT(negative.err, HasSubstr("smallest outlet offset"));
  EXPECT_FALSE(std::filesystem::exists(out));
}

TEST(BudgetCommand, WithoutASeedToCountIsNothingToJudge) {
  const support::ScratchFolder scratch;
  const auto ended =
      sillion(short_budget(scratch.path() / "out", ideal_rows({"--set", "rate.continuous=true"})));
  EXPECT_EQ(ended.code, 5);
  EXPECT_THAT(ended.err, HasSubstr("no seed has a band of its own"));
  EXPECT_FALSE(std::filesystem::exists(scratch.path() / "out"));
}

TEST(BudgetCommand, OfARunNamesTheLargestPartAndMovesNoByteOfItsResult) {
  const support::ScratchFolder scratch;
  const auto run = [&](const char* name, const std::vector<std::string>& more) {
    std::vector<std::string> words = {"run",   "scenarios/demo.toml",
                                      "--out", (scratch.path() / name).string(),
                                      "--set", "seeds=12",
                                      "--set", "row.count=2",
                                      "--set", "row.physics=\"ideal\"",
                                      "--set", "controller.row_trim=false"};
    words.insert(words.end(), more.begin(), more.end());
    return sillion(words);
  };
  const auto plain = run("plain", {}), with = run("with", {"--budget", "--orders", "2"});
  EXPECT_EQ(plain.code, with.code);
  EXPECT_THAT(plain.out, Not(HasSubstr("of the error")));
  EXPECT_THAT(with.out.substr(0, with.out.find('\n')), HasSubstr("part of the error"));
  for (const char* file : {"summary.json", "seeds.csv"})
    EXPECT_TRUE(support::text_of(scratch.path() / "plain" / file) ==
                support::text_of(scratch.path() / "with" / file))
        << file;
  EXPECT_THAT(support::text_of(scratch.path() / "with" / "report.html"),
              HasSubstr("Whose error it is"));
  EXPECT_TRUE(std::filesystem::exists(scratch.path() / "with" / "budget.csv"));
  EXPECT_FALSE(std::filesystem::exists(scratch.path() / "plain" / "budget.csv"));
}

}  // namespace
