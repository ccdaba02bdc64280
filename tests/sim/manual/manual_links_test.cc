// The manual hangs together: README.md is short and leads to every page, links and headings are
// there, every page begins with the question that it answers.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <filesystem>

#include "tests/support/manual_pages.h"
#include "tests/support/run_program.h"

namespace {

using ::testing::Contains;
using ::testing::HasSubstr;

constexpr long kMostLines = 150;  // of README.md: one look from top to bottom

TEST(Manual, ReadmeIsShortAndBeginsWithTheJob) {
  const std::string text = support::text_of_page("README.md");
  EXPECT_LE(std::count(text.begin(), text.end(), '\n'), kMostLines);
  const std::size_t start = text.find("\n\n## Start\n");
  ASSERT_NE(start, std::string::npos);
  ASSERT_TRUE(text.starts_with("# sillion\n\n"));
  EXPECT_EQ(text.substr(11, start - 11).find("\n\n"), std::string::npos) << "one paragraph";
}

TEST(Manual, ReadmeLeadsToEveryPageAndNamesEveryCommand) {
  const std::string text = support::text_of_page("README.md");
  const auto links = support::links_of(text);
  for (const std::string& page : support::manual_pages()) {
    if (page == "README.md") continue;
    EXPECT_THAT(links, Contains(page));
  }
  for (const char* command :
       {"run",    "sweep",    "budget",  "rig",   "valve",  "delay",  "today",
        "outlet", "rate",     "explain", "check", "accept", "search", "compare",
        "score",  "stimulus", "page",    "map",   "unit",   "list"})
    EXPECT_THAT(text, HasSubstr(std::string("| `sillion ") + command + " "));
}

TEST(Manual, EveryPageBeginsWithItsQuestion) {
  for (const std::string& page : support::manual_pages()) {
    if (page == "README.md") continue;
    const std::string text = support::text_of_page(page);
    const std::string first = text.substr(0, text.find('\n'));
    EXPECT_TRUE(first.starts_with("# ") && first.ends_with("?")) << page << ": " << first;
  }
}

TEST(Manual, EveryLinkLeadsToAFileAndAHeading) {
  namespace fs = std::filesystem;
  std::size_t followed = 0;
  for (const std::string& page : support::manual_pages()) {
    for (const std::string& link : support::links_of(support::text_of_page(page))) {
      const std::string file = link.substr(0, link.find('#'));
      const fs::path target = (fs::path(page).parent_path() / file).lexically_normal();
      ++followed;
      EXPECT_TRUE(fs::exists(fs::path(SILLION_SOURCE_DIR) / target)) << page << ": " << link;
      if (link.find('#') == std::string::npos) continue;
      EXPECT_THAT(support::anchors_of(support::text_of_page(target.string())),
                  Contains(link.substr(link.find('#') + 1)))
          << page << ": " << link;
    }
  }
  EXPECT_GE(followed, 40u);
}

}  // namespace
