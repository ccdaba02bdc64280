// Planted mistakes of the firmware against the search: each is to be found within 2,000 passes in a
// scenario whose ranges the reference holds. The table says after how many passes the optimiser and
// the random control found each, and whether the pull-request suite sees it
// (tests/sim/study/check/mistakes_test.cc and its neighbours; where it does not, the suite runs
// here).
#include <gtest/gtest.h>

#include <cstdio>
#include <nlohmann/json.hpp>
#include <ostream>
#include <string>

#include "tests/support/run_program.h"
#include "tests/support/scratch_folder.h"

namespace {

constexpr int kPasses = 2000;
constexpr double kFound_ratio = 0.9;

struct Mistake {
  const char* name;      // libfaulty_NAME.so
  const char* searched;  // the scenario of scenarios/ that is searched
  bool suite_sees = true;
};

/// The test's own name for a parameter.
void PrintTo(const Mistake& mistake, std::ostream* out) { *out << mistake.name; }

// Each asks a question of its own, and stands as it does in scenarios/.
constexpr const char* kRide = "search_ride";
constexpr const char* kRamp = "search_ramp";
constexpr const char* kBraking = "search_braking";
constexpr const char* kTurns = "search_turns";
constexpr const char* kCreeping = "search_creeping";
constexpr const char* kStanding = "search_standing";
constexpr const char* kValve = "search_valve";
constexpr const char* kShortWay = "search_short_way";
constexpr const char* kDense = "search_dense";
constexpr const char* kInputs = "search_inputs";
constexpr const char* kLifts = "search_lifts";
constexpr const char* kLosses = "search_losses";
constexpr const char* kShortLosses = "search_short_losses";
constexpr const char* kFrames = "search_frames";
constexpr const char* kRestarts = "search_restarts";
constexpr const char* kMachine = "search_machine";

constexpr const char* kScenarios[] = {
    kRide,  kRamp,   kBraking, kTurns,  kCreeping,    kStanding, kValve,    kShortWay,
    kDense, kInputs, kLifts,   kLosses, kShortLosses, kFrames,   kRestarts, kMachine};

// The list was fixed before the scenarios, which were made with it in view: they ask a firmware
// engineer's questions, but say nothing of mistakes that nobody has thought of. A mistake that none
// of them finds stays in it. One was added later: the suite turned out to see timeout_short (by its
// baseline and by "still, saw/0.25 s"), which stays, and dead_time_third came beside it.
constexpr Mistake kMistakes[] = {
    {"late", kRide},
    {"swapped", kRide},
    {"deaf", kDense},
    {"slipped", kRide},
    {"wrapped", kRide},
    {"no_lag", kValve},
    {"wrong_sign", kRamp},
    {"forgetful", kDense},
    {"no_number", kRide},
    {"silent", kDense},
    {"half_lag", kValve},
    {"frame_old", kRamp},
    {"ageless", kRamp},
    {"lag_of_speed_lost", kRamp},
    {"no_acceleration", kRamp},
    {"gate_fixed", kBraking},
    {"yaw_turned", kTurns},
    {"yaw_deaf", kTurns},
    {"way_back", kValve},
    {"late_given_up", kShortWay},
    {"long_dead_time", kDense},
    {"timeout_halved", kShortLosses},
    {"band_from_start", kTurns},
    {"numbers_deaf", kFrames},
    {"length_deaf", kFrames},
    {"dead_time_deaf", kDense},
    {"never_stale", kLosses},
    {"standing_deaf", kStanding},
    {"creeping_shut", kCreeping},
    {"lifted_deaf", kLifts},
    {"hold_deaf", kLifts},
    {"row_off_deaf", kInputs},
    {"old_seeds_kept", kLifts},
    {"direction_deaf", kStanding},
    {"restart_refused", kMachine},
    {"memory_believed", kRestarts},
    {"kick_forgotten", kLifts},
    {"tight_turn_lost", kTurns, false},
    {"long_band_cut", kTurns, false},
    {"timeout_short", kShortLosses},
    {"dead_time_third", kDense, false},
};

std::string library_of(const Mistake& mistake) {
  return std::string(SILLION_BINARY_DIR) + "/tests/libfaulty_" + mistake.name + ".so";
}

nlohmann::json searched(const char* scenario, const std::string& library, bool until_found) {
  const ScratchFolder scratch;
  std::vector<std::string> words = {"search",   std::string("scenarios/") + scenario + ".toml",
                                    "--passes", std::to_string(kPasses),
                                    "--quiet",  "--json",
                                    "--out",    scratch.path().string()};
  // The mistakes are our own: in the program's process they give the same bytes in half the time.
  if (!library.empty()) words.insert(words.end(), {"--controller", library, "--trust"});
  if (until_found) words.emplace_back("--until-found");
  const support::Ended ended = support::sillion(words);
  const nlohmann::json said = nlohmann::json::parse(ended.out, nullptr, false);
  EXPECT_FALSE(said.is_discarded()) << ended.err;
  return said;
}

/// "37", or "-" where none of the passes failed.
std::string passes_to_find(const nlohmann::json& said, int method) {
  const nlohmann::json& first = said["methods"][static_cast<std::size_t>(method)]["first"];
  return first.is_null() ? "-" : first.dump();
}

class SearchedRanges : public testing::TestWithParam<const char*> {};

// Otherwise every mistake would be found by what the reference does wrong.
TEST_P(SearchedRanges, AreHeldByTheReference) {
  const nlohmann::json said = searched(GetParam(), "", false);
  std::printf("%s\n", said["sentence"].get<std::string>().c_str());
  EXPECT_EQ(said["verdict"], "hold") << said.dump(1);
  // A pass that could not be judged is none that the reference holds.
  for (const nlohmann::json& method : said["methods"]) EXPECT_EQ(method["not_judged"], 0);
}

std::string scenario_of(const testing::TestParamInfo<const char*>& info) { return info.param; }
INSTANTIATE_TEST_SUITE_P(SearchForMistakes, SearchedRanges, testing::ValuesIn(kScenarios),
                         scenario_of);

TEST(SearchForMistakes, NineInTenAreFoundWithinTwoThousandPasses) {
  int found = 0, without_change = 0, all = 0;
  std::printf("%-18s %-20s %10s %10s  suite\n", "mistake", "searched", "optimiser", "at random");
  for (const Mistake& mistake : kMistakes) {
    ++all;
    const nlohmann::json said = searched(mistake.searched, library_of(mistake), true);
    if (said.is_discarded()) continue;
    // A mistake that shows in the scenario as it stands needs no pass of either method.
    const bool at_once = said["methods"].empty();
    const std::string optimiser = at_once ? "0" : passes_to_find(said, 0);
    found += optimiser != "-" ? 1 : 0;
    without_change += at_once ? 1 : 0;
    std::printf("%-18s %-20s %10s %10s  %s\n", mistake.name, mistake.searched, optimiser.c_str(),
                at_once ? "0" : passes_to_find(said, 1).c_str(),
                mistake.suite_sees ? "sees it" : "does not see it");
    std::fflush(stdout);
  }
  std::printf("%d of %d found by the optimiser, %d of these without any change\n", found, all,
              without_change);
  EXPECT_GE(all, 30);
  EXPECT_GE(found, kFound_ratio * all);
}

class BeyondTheSuite : public testing::TestWithParam<Mistake> {};

TEST_P(BeyondTheSuite, IsNotSeenByThePullRequestSuite) {
  const ScratchFolder scratch;
  const support::Ended ended = support::sillion({"check", "scenarios/pull_request.toml", "--quiet",
                                                 "--out", scratch.path().string(), "--controller",
                                                 library_of(GetParam()), "--trust"});
  EXPECT_EQ(ended.code, 0) << "the suite sees it: " << ended.out;
}

std::string name_of(const testing::TestParamInfo<Mistake>& info) { return info.param.name; }
std::vector<Mistake> unseen() {
  std::vector<Mistake> left;
  for (const Mistake& mistake : kMistakes)
    if (!mistake.suite_sees) left.push_back(mistake);
  return left;
}
INSTANTIATE_TEST_SUITE_P(Search, BeyondTheSuite, testing::ValuesIn(unseen()), name_of);

}  // namespace
