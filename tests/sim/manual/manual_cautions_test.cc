// README.md's cautions are those of the program, word for word.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "sim/output/cautions.h"
#include "tests/support/manual_pages.h"

namespace {

/// The items of a list in Markdown, each on one line.
std::vector<std::string> items_of(const std::string& section) {
  std::vector<std::string> items;
  std::size_t at = 0;
  while (at < section.size()) {
    const std::size_t end = std::min(section.find('\n', at), section.size());
    const std::string line = section.substr(at, end - at);
    if (line.starts_with("- "))
      items.push_back(line.substr(2));
    else if (line.starts_with("  ") && !items.empty())
      items.back() += line.substr(1);
    at = end + 1;
  }
  return items;
}

TEST(Cautions, ReadmeShowsThoseOfEveryReport) {
  const std::string text = support::text_of_page("README.md");
  const std::size_t from = text.find("## Cautions\n");
  ASSERT_NE(from, std::string::npos);
  const std::string section = text.substr(from, text.find("\n## ", from) - from);
  EXPECT_EQ(items_of(section), sim::output::general_cautions());
}

TEST(Cautions, EverySheetSaysThatPressureStaysAndWhoComesFirst) {
  const std::string pressure = sim::output::words_of(sim::output::Caution::kLinesHoldPressure);
  for (const auto& sheet : {sim::output::general_cautions(), sim::output::bench_cautions(),
                            sim::output::strip_test_cautions(), sim::output::rate_cautions()})
    EXPECT_THAT(sheet, ::testing::Contains(::testing::HasSubstr(pressure)));
  const std::string makers = sim::output::words_of(sim::output::Caution::kMakers);
  for (const auto& sheet : {sim::output::general_cautions(), sim::output::bench_cautions(),
                            sim::output::strip_test_cautions()})
    EXPECT_THAT(sheet, ::testing::Contains(::testing::HasSubstr(makers)));
}

}  // namespace
