// The page in a real browser at settings without a band, without an answer, without place for every
// word, and with a coarse answer that comes late.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "tests/support/real_browser.h"

namespace {

TEST(PageExtremes, SayWhatIsNotKnownAndShowNothingOlderAsNew) {
  if (const std::string lacks = support::browser_lacks(); !lacks.empty()) GTEST_SKIP() << lacks;
  const support::ScratchFolder scratch;
  support::Program page({support::sillion_path(), "page", "scenarios/demo.toml", "--out",
                         (scratch.path() / "page").string()});
  const std::string address = support::address_of(page);
  ASSERT_FALSE(address.empty()) << page.err_so_far();
  const support::Ended driven = support::drive_browser("extremes_driver.mjs", address, scratch);
  EXPECT_EQ(driven.code, 0) << driven.out << driven.err;
  EXPECT_THAT(driven.out, ::testing::HasSubstr("ok a late coarse answer replaces no newer full"));
  page.send(SIGINT);
  ASSERT_TRUE(page.ends_within(std::chrono::seconds(3)));
}

}  // namespace
