// Printed commands work from where they are printed and from the repository's top.
#include "sim/command/shown_path.h"

#include <gtest/gtest.h>

#include <nlohmann/json.hpp>

#include "tests/support/run_program.h"
#include "tests/support/small_suite.h"

namespace {

namespace fs = std::filesystem;
using support::Ended;
using support::Program;
using support::text_of;

class From {
 public:
  explicit From(const fs::path& folder) : before_(fs::current_path()) { fs::current_path(folder); }
  ~From() { fs::current_path(before_); }
  From(const From&) = delete;
  From& operator=(const From&) = delete;

 private:
  fs::path before_;
};

TEST(ShownPath, IsRelativeAtTheTopOnly) {
  const support::ScratchFolder scratch;
  const fs::path top = fs::canonical(scratch.path());
  fs::create_directories(top / ".git");
  fs::create_directories(top / "below");
  {
    const From from(top);
    EXPECT_EQ(sim::command::shown_path("a/./b.toml"), "a/b.toml");
    EXPECT_EQ(sim::command::shown_path("../b.so"), (top.parent_path() / "b.so").string());
    EXPECT_EQ(sim::command::shown_path("/x/b.so"), "/x/b.so");
    EXPECT_EQ(sim::command::shown_path(""), "");
  }
  const From from(top / "below");
  EXPECT_EQ(sim::command::shown_path("b.toml"), (top / "below" / "b.toml").string());
  EXPECT_EQ(sim::command::shown_path("../b.toml"), (top / "b.toml").string());
}

// The program is started in one folder with names relative to it; its commands run from another.
TEST(ShownPath, ReplayAndExplainRunFromElsewhere) {
  const support::ScratchFolder scratch;
  support::write_small_suite(scratch.path() / "suites");
  fs::create_directories(scratch.path() / "lib");
  fs::copy_file(std::string(SILLION_BINARY_DIR) + "/tests/libfaulty_deaf.so",
                scratch.path() / "lib" / "new.so");
  const Ended ended = Program({support::sillion_path(), "check", "../suites/small.toml", "--quiet",
                               "--controller", "new.so", "--out", "../results_of_this"},
                              {}, scratch.path() / "lib")
                          .wait();
  ASSERT_EQ(ended.code, 1) << ended.err;
  const std::string lines = text_of(scratch.path() / "results_of_this" / "cases.jsonl");
  const auto one = nlohmann::json::parse(lines.substr(0, lines.find('\n')));
  for (const char* which : {"replay", "explain"}) {
    std::string line = one[which].get<std::string>();
    const std::size_t wave = line.find(" --wave seed.vcd");
    if (wave != std::string::npos) line.erase(wave);
    const Ended again = support::run_program(
        {"sh", "-c",
         "cd / && '" + support::sillion_path() + "'" + line.substr(std::string("sillion").size()) +
             " --quiet" +
             (which == std::string("replay")
                  ? " --out '" + (scratch.path() / "again").string() + "'"
                  : " --wave '" + (scratch.path() / "seed.vcd").string() + "'")});
    EXPECT_EQ(again.code, which == std::string("replay") ? 1 : 0) << line << again.err;
  }
  const std::string junit = text_of(scratch.path() / "results_of_this" / "junit.xml");
  EXPECT_EQ(junit.find("results_of_this"), std::string::npos);
}

}  // namespace
