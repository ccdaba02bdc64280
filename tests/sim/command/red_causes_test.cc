// A red scenario names where its controller departs from the reference, in every report of the
// suite.
#include <gtest/gtest.h>

#include "tests/support/run_program.h"
#include "tests/support/small_suite.h"

namespace {

using support::Ended;
using support::text_of;

std::string faulty(const std::string& name) {
  return std::string(SILLION_BINARY_DIR) + "/tests/libfaulty_" + name + ".so";
}

std::size_t count_of(const std::string& text, const std::string& words) {
  std::size_t count = 0;
  for (std::size_t at = 0; (at = text.find(words, at)) != std::string::npos; ++at) ++count;
  return count;
}

class RedCauses : public testing::Test {
 protected:
  Ended check(const std::vector<std::string>& more) const {
    std::vector<std::string> words = {"check", suite_.string(), "--quiet", "--out",
                                      (scratch_.path() / "out").string()};
    words.insert(words.end(), more.begin(), more.end());
    return support::sillion(words);
  }
  std::string result(const char* file) const { return text_of(scratch_.path() / "out" / file); }

  support::ScratchFolder scratch_;
  std::filesystem::path suite_ = support::write_small_suite(scratch_.path());
};

const std::string kParts = "parts from the reference at row ";

TEST_F(RedCauses, StandInErrorLinesJunitMarkdownAndLinesOfJson) {
  const Ended ended = check({"--controller", faulty("late")});
  EXPECT_EQ(ended.code, 1);
  EXPECT_GE(count_of(ended.err, kParts), 2u) << ended.err;
  for (const char* file : {"junit.xml", "summary.md", "cases.jsonl"})
    EXPECT_GE(count_of(result(file), kParts), 2u) << file << "\n" << result(file);
  EXPECT_NE(ended.err.find("out.compares[0].at_ticks "), std::string::npos) << ended.err;
}

TEST_F(RedCauses, OfAFaultNameTheCallInWhichItFails) {
#if defined(__SANITIZE_THREAD__)
  GTEST_SKIP() << "see tests/sim/bench/guarded_call_test.cc";
#endif
  const Ended ended = check({"--controller", faulty("silent")});
  EXPECT_EQ(ended.code, 4);
  EXPECT_NE(ended.err.find("does as the reference does up to row "), std::string::npos)
      << ended.err;
}

TEST_F(RedCauses, AreNotLookedForWithoutAController) {
  std::string text = support::small_suite_text();
  text.replace(text.find("at_most = \"0.45 mm\""), 19, "at_most = \"-0.4 mm\"");
  support::write_small_suite(scratch_.path(), text);
  const Ended ended = check({});
  EXPECT_EQ(ended.code, 1);
  EXPECT_EQ(ended.err.find("reference"), std::string::npos) << ended.err;
}

// A limit that nothing can hold is red with the reference too, and the controller is not blamed.
TEST_F(RedCauses, SayWhereTheControllerIsNotTheCause) {
  std::string text = support::small_suite_text();
  text.replace(text.find("at_most = \"0.45 mm\""), 19, "at_most = \"-0.4 mm\"");
  support::write_small_suite(scratch_.path(), text);
  const Ended ended = check({"--controller", faulty("wrong_sign")});
  EXPECT_NE(ended.err.find("error: still/16 km/h: every call is the reference's too"),
            std::string::npos)
      << ended.err;
}

TEST_F(RedCauses, AreTakenOfFiveAndTheOthersSaySo) {
  std::string text = support::small_suite_text();
  text.replace(text.find("[\"10 km/h\", \"16 km/h\"]"), 22,
               "[\"8 km/h\", \"9 km/h\", \"10 km/h\", \"11 km/h\", \"12 km/h\", \"14 km/h\", "
               "\"16 km/h\"]");
  support::write_small_suite(scratch_.path(), text);
  const Ended ended = check({"--controller", faulty("late")});
  EXPECT_EQ(count_of(ended.err, kParts), 5u) << ended.err;
  EXPECT_GE(count_of(ended.err, "not run again beside the reference: the first 5 red"), 2u)
      << ended.err;
}

}  // namespace
