#include "sim/text/read_once.h"

#include <gtest/gtest.h>

#include <fstream>

#include "tests/support/run_program.h"

namespace {

void put(const support::ScratchFolder& folder, const char* name, const std::string& text) {
  std::ofstream(folder.path() / name) << text;
}

const sim::text::Node& title(const sim::text::Node& document) { return *document.find("title"); }

// A file that is saved while a study runs must not change the cells that come later.
TEST(ReadOnce, AFileStaysAsItWasFirstRead) {
  const support::ScratchFolder folder;
  const auto file = folder.path() / "a.toml";
  put(folder, "a.toml", "title = \"first\"\n");
  {
    const sim::text::ReadOnce once;
    EXPECT_EQ(title(sim::text::read_document(file)).text, "first");
    put(folder, "a.toml", "title = \"second\"\n");
    EXPECT_EQ(title(sim::text::read_document(file)).text, "first");
  }
  EXPECT_EQ(title(sim::text::read_document(file)).text, "second");
}

TEST(ReadOnce, WithoutOneEveryReadingIsFresh) {
  const support::ScratchFolder folder;
  put(folder, "a.toml", "title = \"first\"\n");
  EXPECT_EQ(title(sim::text::read_document(folder.path() / "a.toml")).text, "first");
  put(folder, "a.toml", "title = \"second\"\n");
  EXPECT_EQ(title(sim::text::read_document(folder.path() / "a.toml")).text, "second");
}

// The place of a mistake belongs to what was read.
TEST(ReadOnce, AMistakeIsToldEachTime) {
  const support::ScratchFolder folder;
  put(folder, "a.toml", "title = \n");
  const sim::text::ReadOnce once;
  for (int k = 0; k < 2; ++k)
    EXPECT_THROW(sim::text::read_document(folder.path() / "a.toml"), sim::text::InputError);
}

}  // namespace
