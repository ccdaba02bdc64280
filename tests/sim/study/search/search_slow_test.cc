// Planted mistakes of the firmware against the search: each is to be found within 2,000 passes in a
// scenario whose ranges the reference holds. The table says after how many passes the optimiser and
// the random control found each, and whether the pull-request suite sees it
// (tests/sim/study/check/mistakes_test.cc and its neighbours; where it does not, the suite runs
// here).
#include <gtest/gtest.h>

#include <cstdio>
#include <nlohmann/json.hpp>
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

constexpr const char* kRide = "search_ride";
constexpr const char* kInputs = "search_inputs";
constexpr const char* kTurns = "search_turns";

constexpr Mistake kMistakes[] = {
    {"late", kRide},
    {"swapped", kRide},
    {"deaf", kRide},
    {"slipped", kRide},
    {"wrapped", kRide},
    {"no_lag", kRide},
    {"wrong_sign", kRide},
    {"forgetful", kRide},
    {"no_number", kRide},
    {"silent", kRide},
    {"half_lag", kTurns},
    {"frame_old", kRide},
    {"ageless", kRide},
    {"lag_of_speed_lost", kRide},
    {"no_acceleration", kRide},
    {"gate_fixed", kRide},
    {"yaw_turned", kTurns},
    {"yaw_deaf", kTurns},
    {"way_back", kTurns},
    {"late_given_up", kTurns},
    {"long_dead_time", kTurns},
    {"timeout_halved", kTurns},
    {"band_from_start", kTurns},
    {"numbers_deaf", kTurns},
    {"length_deaf", kRide},
    {"dead_time_deaf", kTurns},
    {"never_stale", kInputs},
    {"standing_deaf", kInputs},
    {"creeping_shut", kInputs},
    {"lifted_deaf", kInputs},
    {"hold_deaf", kInputs},
    {"row_off_deaf", kInputs},
    {"old_seeds_kept", kInputs},
    {"direction_deaf", kInputs},
    {"restart_refused", kInputs},
    {"memory_believed", kInputs},
    {"kick_forgotten", kInputs},
    {"tight_turn_lost", kTurns, false},
    {"long_band_cut", kRide, false},
    {"timeout_short", kTurns, false},
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
  const int first = said["methods"][static_cast<std::size_t>(method)]["first"];
  return first < 0 ? "-" : std::to_string(first + 1);
}

// Otherwise every mistake would be found by what the reference does wrong.
TEST(SearchForMistakes, TheReferenceHoldsInTheRangesThatAreSearched) {
  for (const char* scenario : {kRide, kTurns, kInputs}) {
    const nlohmann::json said = searched(scenario, "", false);
    std::printf("%s: %s\n", scenario, said["sentence"].get<std::string>().c_str());
    EXPECT_EQ(said["verdict"], "hold") << said.dump(1);
  }
}

TEST(SearchForMistakes, NineInTenAreFoundWithinTwoThousandPasses) {
  int found = 0, all = 0;
  std::printf("%-20s %-14s %10s %10s  suite\n", "mistake", "searched", "optimiser", "at random");
  for (const Mistake& mistake : kMistakes) {
    const nlohmann::json said = searched(mistake.searched, library_of(mistake), true);
    if (said.is_discarded()) continue;
    ++all;
    // A mistake that shows without any change is found by the first pass.
    const bool at_once = said["methods"].empty();
    const std::string optimiser = at_once ? "0" : passes_to_find(said, 0);
    found += optimiser != "-" ? 1 : 0;
    std::printf("%-20s %-14s %10s %10s  %s\n", mistake.name, mistake.searched, optimiser.c_str(),
                at_once ? "0" : passes_to_find(said, 1).c_str(),
                mistake.suite_sees ? "sees it" : "does not see it");
    std::fflush(stdout);
  }
  std::printf("%d of %d found\n", found, all);
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
