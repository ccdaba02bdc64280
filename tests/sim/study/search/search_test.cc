// A search as a whole: its file, its cases, its verdicts, the shrunk case and what is written.
#include "sim/study/search/search.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <oneapi/tbb/global_control.h>

#include <filesystem>
#include <fstream>
#include <limits>
#include <nlohmann/json.hpp>
#include <sstream>

#include "sim/measure/tightness.h"
#include "sim/scenario/loader.h"
#include "sim/study/run/run.h"
#include "sim/study/run/seal.h"
#include "sim/study/search/search_report.h"
#include "sim/study/search/search_run.h"
#include "sim/text/input_error.h"
#include "tests/support/run_program.h"
#include "tests/support/scratch_folder.h"

namespace {

namespace fs = std::filesystem;
using sim::search::Search;
using sim::search::SearchResult;
using testing::AllOf;
using testing::ElementsAre;
using testing::HasSubstr;
using testing::IsEmpty;

const fs::path kScenarios = fs::path(SILLION_SOURCE_DIR) / "scenarios";

/// Two ideal rows of two seconds at 8 km/h. A fixed error of the delay of 9 ms moves every band by
/// 20 mm at that speed: by hand, v dt.
std::string file_text(const std::string& search) {
  return "base = \"" + (kScenarios / "pull_request_still.toml").string() +
         "\"\nduration = \"2 s\"\n[row]\ncount = 2\n[travel]\nspeed = \"8 km/h\"\n"
         "[[require]]\nmetric = \"placement_error_p50\"\nat_most = \"20 mm\"\n" +
         search;
}

const std::string kTwo =
    "[search]\npasses = 12\n[search.ranges]\n"
    "\"controller.delay_time_error\" = {uniform = [\"0 ms\", \"25 ms\"]}\n"
    "\"clock.drift\" = {uniform = [\"0 ppm\", \"500 ppm\"]}\n"
    "\"seeding.spacing\" = [\"150 mm\", \"200 mm\"]\n";

struct Written {
  ScratchFolder scratch;
  fs::path file = scratch.path() / "case.toml";
  explicit Written(const std::string& text) { std::ofstream(file) << text; }
};

std::string error_of(const std::string& search) {
  const Written written(file_text(search));
  try {
    sim::search::load_search(written.file);
  } catch (const sim::text::InputError& error) {
    return error.what();
  }
  return "no error";
}

TEST(SearchFile, MistakesNameLineKeyAndNearestName) {
  EXPECT_THAT(error_of(""), HasSubstr("search: is missing"));
  EXPECT_THAT(error_of("[search]\n"), HasSubstr("nothing would be varied"));
  EXPECT_THAT(error_of("[search]\npases = 3\n"), AllOf(HasSubstr(":11"), HasSubstr("passes")));
  EXPECT_THAT(error_of("[search.ranges]\n\"travel.sped\" = {uniform = [\"1 m/s\", \"2 m/s\"]}\n"),
              AllOf(HasSubstr(":11: search.ranges.travel.sped"),
                    HasSubstr("unknown key; nearest valid name: `travel.speed`")));
  EXPECT_THAT(error_of("[search.ranges]\n\"travel.speed\" = {unifrm = [\"1 m/s\", \"2 m/s\"]}\n"),
              HasSubstr("nearest valid name: `search.ranges.travel.speed.uniform`"));
  EXPECT_THAT(error_of("[search.ranges]\n\"search.passes\" = [1, 2]\n"),
              HasSubstr("a pass does not read this section"));
  EXPECT_THAT(error_of("[search.ranges]\n\"travel.speed\" = {uniform = [\"1 m/s\", \"90 m/s\"]}\n"),
              HasSubstr("does not take this"));
  EXPECT_THAT(error_of("[search.ranges]\n\"clock.drift\" = {normal = {mean = \"0 ppm\", sd = \"1 "
                       "ppm\"}}\n"),
              HasSubstr("a range has two ends"));
  EXPECT_THAT(error_of("[[search.fault]]\nkinds = [\"lost_egdes\"]\nfrom = [\"0 s\", \"1 s\"]\n"
                       "lasts = [\"1 s\", \"1 s\"]\n"),
              HasSubstr("nearest valid name: `lost_edges`"));
  EXPECT_THAT(error_of("[[search.fault]]\nkinds = [\"lost_edges\"]\nfrom = [\"2 s\", \"1 s\"]\n"
                       "lasts = [\"1 s\", \"1 s\"]\n"),
              HasSubstr("the second time is before the first"));
}

TEST(SearchFile, EveryOtherCommandPassesOverTheSection) {
  const Written with(file_text(kTwo));
  const Written without(file_text(""));
  EXPECT_EQ(sim::scenario::canonical_text(sim::scenario::load_scenario(with.file)),
            sim::scenario::canonical_text(sim::scenario::load_scenario(without.file)));
}

// The ends of the cube are the ends of the ranges; a list is cut into equal parts.
TEST(SearchCase, APointIsACaseInTheRanges) {
  const Written written(file_text(kTwo));
  const Search search = sim::search::load_search(written.file);
  ASSERT_EQ(search.dimensions(), 3u);
  EXPECT_THAT(sim::search::changes_of(search, {0.0, 1.0, 0.49}).values,
              ElementsAre("0 ms", "500 ppm", "150 mm"));
  EXPECT_THAT(sim::search::changes_of(search, {0.25, 0.5, 0.5}).values,
              ElementsAre("6.25 ms", "250 ppm", "200 mm"));
  const auto scenario =
      sim::search::scenario_with(search, sim::search::changes_of(search, {0.25, 0.5, 1.0}));
  EXPECT_DOUBLE_EQ(scenario.controller.delay_time_error_s, 0.00625);
  EXPECT_DOUBLE_EQ(scenario.seeding.meter.spacing_m, 0.2);
  EXPECT_EQ(sim::search::base_value_si(search, search.ranges[2]), 0.15);
}

// 283.001 and 283.002 K have the same five digits, and 12.345678 V rounds past the end of a range.
TEST(SearchCase, ValuesAreApartInANarrowRangeAndStayInside) {
  const Written written(
      file_text("[search]\n[search.ranges]\n"
                "\"liquid.temperature\" = {uniform = [\"283.001 K\", \"283.002 K\"]}\n"
                "\"supply.voltage\" = {uniform = [\"10 V\", \"12.345678 V\"]}\n"));
  const Search search = sim::search::load_search(written.file);
  EXPECT_THAT(sim::search::changes_of(search, {0.25, 1.0}).values,
              ElementsAre("283.00125 K", "12.345678 V"));
  EXPECT_THAT(sim::search::changes_of(search, {0.75, 0.5}).values,
              ElementsAre("283.00175 K", "11.173 V"));
}

TEST(SearchCase, AFaultIsNoneOrOneOfItsKinds) {
  const Written written(file_text(
      "[[search.fault]]\nkinds = [\"lost_edges\", \"restarted_row\"]\nfrom = [\"0.5 s\", \"1 s\"]\n"
      "lasts = [\"0.1 s\", \"0.3 s\"]\n"));
  const Search search = sim::search::load_search(written.file);
  const auto toml = [&](double kind_ratio) {
    return sim::search::words_of(search,
                                 sim::search::changes_of(search, {kind_ratio, 0.9, 1.0, 0.5}));
  };
  EXPECT_THAT(toml(0.1), ElementsAre("fault {kind = \"lost_edges\", severity = \"severe\", from = "
                                     "\"1 s\", until = \"1.2 s\"}"));
  EXPECT_THAT(toml(0.5), ElementsAre("fault {kind = \"restarted_row\", severity = \"severe\", from "
                                     "= \"1 s\"}"));
  EXPECT_THAT(toml(0.9), IsEmpty());
}

TEST(SearchMargin, IsTheShareOfTheLimitThatIsLeft) {
  sim::measure::RequirementResult one;
  one.limit = 0.02;
  one.margin = -0.005;
  EXPECT_DOUBLE_EQ(sim::measure::tightness_ratio(one), -0.25);
  one.limit = 0.0;
  EXPECT_DOUBLE_EQ(sim::measure::tightness_ratio(one), -0.005);
  one.seen = false;
  EXPECT_EQ(sim::measure::tightness_ratio(one), std::numeric_limits<double>::infinity());
}

// Two signals that must not be on together meet in one instant: violated, by 0.
TEST(SearchMargin, NamesWhatIsViolatedAndNotWhatIsJustHeld) {
  sim::run::RunResult result;
  sim::measure::RequirementResult held{.name = "just held"}, violated{.name = "met in an instant"};
  held.limit = 4.0;
  held.margin = violated.margin = 0.0;
  held.holds = true;
  violated.holds = false;
  held.unit = violated.unit = "s";
  result.summary.requirements = {held, violated, held};
  result.summary.verdict = sim::measure::Verdict::kFail;
  const sim::search::JudgedPass judged = sim::search::judged_pass(result, 0);
  EXPECT_EQ(judged.requirement, "met in an instant");
  EXPECT_EQ(judged.margin_ratio, 0.0);
  EXPECT_TRUE(judged.fails());
}

/// A travel by profile that turns, and a turn radius: each goes alone, and both together do not.
const std::string kContradiction =
    "[search]\npasses = 8\n[search.ranges]\n"
    "\"travel.profile\" = [[{time = \"0 s\", speed = \"8 km/h\"}], "
    "[{time = \"0 s\", speed = \"8 km/h\", yaw_rate = \"1 deg/s\"}]]\n"
    "\"travel.turn_radius\" = [\"0 m\", \"40 m\"]\n";

TEST(Search, APassThatCouldNotBeJudgedIsNoneThatHolds) {
  const Written written(file_text(kContradiction));
  const SearchResult result = sim::search::run_search(sim::search::load_search(written.file));
  const std::size_t silent = result.optimiser.not_judged() + result.random.not_judged();
  ASSERT_GT(silent, 0u);
  const std::string sentence = sim::search::search_sentence(result);
  EXPECT_THAT(sentence, HasSubstr(std::to_string(silent) + " more could not be judged"));
  EXPECT_THAT(sentence, testing::Not(HasSubstr("holds in all")));
  EXPECT_THAT(sim::search::search_findings(result).back(),
              AllOf(HasSubstr("not judged, the first is pass "), HasSubstr("contradicts")));
}

TEST(Search, WithoutAJudgedPassItHoldsNothing) {
  const Written written(file_text(
      "[search]\npasses = 2\n[search.ranges]\n\"controller.library\" = [\"none_such.so\"]\n"));
  const support::Ended ended =
      support::sillion({"search", written.file.string(), "--quiet", "--json", "--out",
                        (written.scratch.path() / "out").string()});
  EXPECT_EQ(ended.code, 5) << ended.err;
  const auto said = nlohmann::json::parse(ended.out);
  EXPECT_EQ(said["verdict"], "no data");
  EXPECT_EQ(said["methods"][0]["not_judged"], 2);
  EXPECT_TRUE(said["methods"][0]["first"].is_null());
}

// `run` refuses a scenario with a fault that never acts, so a pass of it says nothing here either.
TEST(Search, AFaultOfTheScenarioThatNeverActsIsTold) {
  const Written written(
      file_text("[[fault]]\nkind = \"late_edges\"\nby = \"1 ms\"\nfrom = \"1 ms\"\n"
                "until = \"2 ms\"\n" +
                kTwo));
  const Search search = sim::search::load_search(written.file);
  const sim::search::JudgedPass own = sim::search::judge_scenario(search.base, 1, nullptr);
  EXPECT_EQ(own.state, sim::search::PassState::kNotServed);
  EXPECT_THAT(own.words, HasSubstr("never took effect"));
  // Had the search added it, the pass would be as good as one without it.
  const sim::search::JudgedPass added = sim::search::judge_scenario(search.base, 0, nullptr);
  EXPECT_EQ(added.state, sim::search::PassState::kHeld);
  EXPECT_TRUE(added.idle_fault);
}

/// The found case is run by the program as any scenario is: it fails as the search said.
TEST(Search, TheShrunkCaseIsTheSmallestChangeAndRunsAsItWasSaid) {
  const Written written(file_text(kTwo));
  const SearchResult result = sim::search::run_search(sim::search::load_search(written.file));
  EXPECT_FALSE(result.base.fails());
  ASSERT_TRUE(result.shrunk.has_value());
  EXPECT_EQ(result.optimiser.passes.size(), 12u);
  EXPECT_EQ(result.random.passes.size(), 12u);
  // 20 mm at 8 km/h are 9 ms; the bisection ends within 1/64 of the way to the found value, and the
  // median of what the row does besides is below 1 mm, half a millisecond.
  const auto& values = result.shrunk->changes.values;
  EXPECT_THAT(values[1], IsEmpty());
  EXPECT_THAT(values[2], IsEmpty());
  const double left_ms = std::stod(values[0]);  // tidy: unit ms
  EXPECT_GE(left_ms, 8.5);
  EXPECT_LE(left_ms, 9.5 + 25.0 / 64.0);

  const fs::path out = written.scratch.path() / "out";
  sim::search::write_search(result, out);
  const support::Ended again = support::sillion(
      {"run", (out / "found.toml").string(), "--quiet", "--out", (out / "again").string()});
  EXPECT_EQ(again.code, 1) << again.err;
  EXPECT_THAT(again.out, HasSubstr("placement_error_p50"));
  // The very pass that was judged, to the byte.
  sim::run::RunResult ran =
      sim::run::run_scenario(sim::search::scenario_with(result.search, result.shrunk->changes));
  sim::run::RunResult read =
      sim::run::run_scenario(sim::scenario::load_scenario(out / "found.toml"));
  ran.scenario.name = read.scenario.name;
  EXPECT_EQ(sim::run::unhashed_summary_json(ran), sim::run::unhashed_summary_json(read));
  const std::string found = support::text_of(out / "found.toml");
  EXPECT_THAT(found, AllOf(HasSubstr("# Question: "), HasSubstr("# Expect: violated"),
                           HasSubstr("base = "), HasSubstr("delay_time_error")));
  const auto summary = nlohmann::json::parse(support::text_of(out / "summary.json"));
  EXPECT_EQ(summary["schema"], "sillion.search.1");
  EXPECT_EQ(summary["methods"][0]["failing"], result.optimiser.failing());
  // The pass that is named first is the first line of passes.csv that says violated.
  std::istringstream lines(support::text_of(out / "passes.csv"));
  std::string line;
  while (std::getline(lines, line) && line.find(",violated,") == std::string::npos) {
  }
  EXPECT_THAT(line,
              testing::StartsWith("optimiser," + summary["methods"][0]["first"].dump() + ","));
  EXPECT_EQ(summary["shrunk"]["changes"].size(), 1u);
}

TEST(Search, TheSameBytesOnAnyNumberOfThreads) {
  const Written written(file_text(kTwo));
  const Search search = sim::search::load_search(written.file);
  std::string first;
  for (const std::size_t threads : {1u, 3u}) {
    const oneapi::tbb::global_control limit(oneapi::tbb::global_control::max_allowed_parallelism,
                                            threads);
    const std::string json = sim::search::search_json(sim::search::run_search(search));
    if (first.empty()) first = json;
    EXPECT_EQ(json, first);
  }
}

TEST(Search, EndsWithTheFirstFindWhereThatIsEnough) {
  const Written written(file_text(kTwo));
  const SearchResult result =
      sim::search::run_search(sim::search::load_search(written.file), {.until_found = true});
  for (const sim::search::Method* method : {&result.optimiser, &result.random}) {
    EXPECT_EQ(method->failing(), 1u);
    EXPECT_EQ(method->first(), static_cast<int>(method->passes.size()) - 1);
  }
}

// Within these ranges nothing can fail: 4 ms at 8 km/h are 9 mm of the 20.
TEST(Search, NothingIsFoundWhereNothingFails) {
  const Written written(file_text(
      "[search]\npasses = 8\n[search.ranges]\n\"controller.delay_time_error\" = {uniform = "
      "[\"0 ms\", \"4 ms\"]}\n"));
  const fs::path out = written.scratch.path() / "out";
  const support::Ended ended =
      support::sillion({"search", written.file.string(), "--quiet", "--out", out.string()});
  EXPECT_EQ(ended.code, 0) << ended.err;
  EXPECT_THAT(ended.out, HasSubstr("holds in all 8 passes by the optimiser and 8 at random"));
  EXPECT_FALSE(fs::exists(out / "found.toml"));
}

TEST(Search, AScenarioThatFailsByItselfIsToldAtOnce) {
  const Written written(file_text(kTwo));
  const SearchResult result = sim::search::run_search(
      sim::search::load_search(written.file, {"controller.delay_time_error=20 ms"}));
  EXPECT_TRUE(result.base.fails());
  EXPECT_THAT(result.optimiser.passes, IsEmpty());
  EXPECT_THAT(sim::search::search_sentence(result), HasSubstr("fails without any change"));
}

}  // namespace
