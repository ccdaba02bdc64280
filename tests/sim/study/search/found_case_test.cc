// The saved case: whatever was set on the command line and varied, reading it gives the scenario
// that ran, and it stands where it was asked for.
#include "sim/study/search/found_case.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cstring>
#include <filesystem>

#include "sim/scenario/loader.h"
#include "sim/study/search/search_report.h"
#include "tests/support/run_program.h"
#include "tests/support/scratch_folder.h"

namespace {

namespace fs = std::filesystem;
using sim::search::Search;
using sim::search::SearchResult;
using testing::HasSubstr;

const fs::path kScenarios = fs::path(SILLION_SOURCE_DIR) / "scenarios";

const fs::path kReference = fs::path(SILLION_BINARY_DIR) / "libsillion_reference.so";

/// Two ideal rows with a fault of their own; `ranges` follow.
std::string file_text(const std::string& ranges) {
  return "base = \"" + (kScenarios / "pull_request_still.toml").string() +
         "\"\nduration = \"2 s\"\n[row]\ncount = 2\n"
         "[[require]]\nmetric = \"no_band\"\nat_most = 99\n[[fault]]\nkind = \"late_edges\"\nby = "
         "\"1 ms\"\n" +
         "[search]\n[search.ranges]\n" + ranges;
}

/// As if a search had found the upper end of every range.
SearchResult found_at_the_upper_ends(const Search& search) {
  SearchResult result{.search = search, .base = {}};
  const sim::search::Point upper(search.dimensions(), 1.0);
  sim::search::JudgedPass judged;
  judged.state = sim::search::PassState::kViolated;
  result.shrunk = {sim::search::changes_of(search, upper), judged, 1, 1};
  return result;
}

struct Case {
  const char* ranges;
  std::vector<std::string> sets;
};

TEST(FoundCase, ReadingItGivesTheScenarioThatRan) {
  const ScratchFolder scratch;
  fs::copy_file(kReference, scratch.path() / "firmware.so");
  scratch.write("spacings.csv", "spacing_mm\n150\n160\n140\n");
  const Case cases[] = {
      {"\"travel.speed\" = {uniform = [\"8 km/h\", \"12 km/h\"]}\n", {}},
      // Both ways to write an index.
      {"\"clock.drift\" = {uniform = [\"0 ppm\", \"500 ppm\"]}\n", {"fault.0.by=2 ms"}},
      {"\"fault[0].by\" = {uniform = [\"1 ms\", \"3 ms\"]}\n", {"fault[0].from=0.5 s"}},
      {"\"fault.0.by\" = [\"2 ms\", \"3 ms\"]\n", {}},
      // What the search states itself, and a section that is set whole.
      {"\"clock.drift\" = {uniform = [\"0 ppm\", \"500 ppm\"]}\n", {"controller.delay=tuned"}},
      {"\"controller.delay_time_error\" = {uniform = [\"0 ms\", \"5 ms\"]}\n",
       {"controller={row_trim=false}"}},
      {"\"delivery.path\" = {uniform = [\"0.2 m\", \"0.3 m\"]}\n",
       {"delivery={kind=\"conveyor timed\", belt_speed=\"4 m/s\"}"}},
      // Either of two keys, and a section that begins anew.
      {"\"seeding.population\" = {uniform = [\"60 thousand/ha\", \"90 thousand/ha\"]}\n", {}},
      {"\"delivery.kind\" = [\"conveyor\", \"gravity\"]\n", {"delivery.path=0.3 m"}},
      // Files beside the scenario that was searched.
      {"\"seeding.spacings\" = [\"spacings.csv\"]\n", {"seeding.spacing=150 mm"}},
      {"\"clock.drift\" = {uniform = [\"0 ppm\", \"500 ppm\"]}\n",
       {"controller.library=firmware.so"}},
  };
  int number = 0;
  for (const Case& one : cases) {
    SCOPED_TRACE(one.ranges);
    const fs::path file =
        scratch.write("case" + std::to_string(number) + ".toml", file_text(one.ranges));
    const fs::path out = scratch.path() / "deep" / ("out" + std::to_string(number++));
    const SearchResult result = found_at_the_upper_ends(sim::search::load_search(file, one.sets));
    sim::search::write_search(result, out);
    const auto ran = sim::search::scenario_with(result.search, result.shrunk->changes);
    const auto read = sim::scenario::load_scenario(out / "found.toml");
    EXPECT_EQ(sim::scenario::canonical_text(read), sim::scenario::canonical_text(ran));
    EXPECT_EQ(
        std::memcmp(&read.controller.given, &ran.controller.given, sizeof read.controller.given),
        0);
    EXPECT_EQ(read.seeding.spacings_m, ran.seeding.spacings_m);
    EXPECT_EQ(fs::weakly_canonical(read.controller.library),
              fs::weakly_canonical(ran.controller.library));
  }
}

// A controller of the command line is the one that is tried: the next build of it takes its place.
TEST(FoundCase, AControllerOfTheCommandLineIsNoPartOfTheCase) {
  const ScratchFolder scratch;
  const fs::path file = scratch.write(
      "case.toml", file_text("\"clock.drift\" = {uniform = [\"0 ppm\", \"500 ppm\"]}\n"));
  const Search search = sim::search::load_search(file, {}, kReference);
  EXPECT_EQ(search.base.controller.library, kReference);
  EXPECT_THAT(
      sim::search::found_toml(found_at_the_upper_ends(search), scratch.path() / "found.toml"),
      testing::Not(HasSubstr("library")));
}

// The same bytes before the folder exists and after, seen from where one stands.
TEST(FoundCase, TheBaseIsTheWayFromAFolderThatNeedNotExist) {
  const ScratchFolder scratch;
  scratch.write("case.toml", file_text("\"clock.drift\" = {uniform = [\"0 ppm\", \"500 ppm\"]}\n"));
  const fs::path stood = fs::current_path();
  fs::current_path(scratch.path());
  const SearchResult result = found_at_the_upper_ends(sim::search::load_search("case.toml"));
  const std::string before = sim::search::found_toml(result, "out/found.toml");
  fs::create_directory("out");
  const std::string after = sim::search::found_toml(result, "out/found.toml");
  fs::current_path(stood);
  EXPECT_THAT(before, HasSubstr("base = \"../case.toml\"\n"));
  EXPECT_EQ(before, after);
}

TEST(FoundCase, DoesNotTakeThePlaceOfTheFileThatIsSearched) {
  const ScratchFolder scratch;
  const fs::path file = scratch.write(
      "found.toml",
      file_text("\"controller.delay_time_error\" = {uniform = [\"0 ms\", \"1 ms\"]}\n"));
  const std::string before = support::text_of(file);
  const support::Ended ended = support::sillion(
      {"search", file.string(), "--quiet", "--passes", "1", "--out", scratch.path().string()});
  EXPECT_EQ(ended.code, 2);
  EXPECT_THAT(ended.err, HasSubstr("state another folder with --out"));
  EXPECT_EQ(support::text_of(file), before);
}

}  // namespace
