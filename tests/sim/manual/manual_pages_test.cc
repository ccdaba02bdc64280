// The reader of the manual's pages, on pages made up here.
#include "tests/support/manual_pages.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace {

using ::testing::ElementsAre;
using ::testing::IsEmpty;

const char* const kPage =
    "# What is it?\n\nSee [that](files.md#a-b) and `travel.speed`.\n\n"
    "```console\n$ sillion run a.toml --set x=\"1 m\"  # a comment\nfirst\n...\nlast ...\n```\n"
    "```sh\ncd x && sillion list \\\n  keys < in.csv\n```\n## How, to read `it`\n";

TEST(ManualPages, BlocksCommandsAndWhatTheyPrint) {
  const auto blocks = support::fenced_blocks("p.md", kPage);
  ASSERT_EQ(blocks.size(), 2u);
  const auto shown = support::examples_of(blocks[0]);
  ASSERT_EQ(shown.size(), 1u);
  EXPECT_EQ(shown[0].place, "p.md:6");
  EXPECT_THAT(shown[0].words, ElementsAre("sillion", "run", "a.toml", "--set", "x=1 m"));
  EXPECT_THAT(shown[0].printed, ElementsAre("first", "...", "last ..."));
  const auto pasted = support::examples_of(blocks[1]);
  ASSERT_EQ(pasted.size(), 2u);
  EXPECT_THAT(pasted[0].words, ElementsAre("cd", "x"));
  EXPECT_THAT(pasted[1].words, ElementsAre("sillion", "list", "keys"));
  EXPECT_EQ(pasted[1].reads, "in.csv");
}

TEST(ManualPages, HeadingsLinksAndCodeOfTheProse) {
  EXPECT_THAT(support::anchors_of(kPage), ElementsAre("what-is-it", "how-to-read-it"));
  EXPECT_THAT(support::links_of(kPage), ElementsAre("files.md#a-b"));
  EXPECT_THAT(support::code_words_of(support::prose_of(kPage)), ElementsAre("travel.speed", "it"));
}

TEST(ManualPages, OutputAgreesOnlyWhereEveryLineIsShownOrSkipped) {
  const std::string output = "one\ntwo 2.0 mm and more\nthree\n";
  using Lines = std::vector<std::string>;
  const auto differs = [&output](const Lines& printed) {
    return support::first_disagreement(printed, output);
  };
  EXPECT_THAT(differs({"one", "two 2.0 mm ...", "three"}), IsEmpty());
  EXPECT_THAT(differs({"...", "three"}), IsEmpty());
  EXPECT_THAT(differs({"one", "..."}), IsEmpty());
  EXPECT_EQ(differs({"one", "three"}), "three") << "a line is left out";
  EXPECT_EQ(differs({"one", "two 2.1 mm ..."}), "two 2.1 mm ...");
  EXPECT_EQ(differs({"...", "three", "...", "one"}), "one") << "the order counts";
  EXPECT_EQ(differs({"one", "two 2.0 mm and more"}), "left out without `...`: three");
}

}  // namespace
