// Every fragment of TOML in the manual is read by the program's own reader, as if it stood in
// scenarios/.
#include <gtest/gtest.h>

#include <filesystem>
#include <map>

#include "sim/command/attachment_input.h"
#include "sim/scenario/loader.h"
#include "sim/study/check/suite.h"
#include "sim/study/rate/rate_plan.h"
#include "sim/study/rig/rig_setup.h"
#include "sim/study/sweep/study.h"
#include "sim/study/valve/valve_limits.h"
#include "tests/support/manual_pages.h"
#include "tests/support/scratch_folder.h"

namespace {

/// A folder that looks like scenarios/, for files that name others beside them.
void look_like_scenarios(const std::filesystem::path& folder) {
  for (const auto& entry : std::filesystem::directory_iterator(SILLION_SOURCE_DIR "/scenarios"))
    std::filesystem::create_symlink(entry.path(), folder / entry.path().filename());
}

void read(const support::FencedBlock& block, const ScratchFolder& scratch) {
  std::string text;
  for (const std::string& line : block.lines) text += line + "\n";
  const bool overlay = block.kind.empty() || block.kind == "study" || block.kind == "plan";
  if (overlay && !text.starts_with("base") && text.find("\nbase") == std::string::npos)
    text = "base = \"demo.toml\"\n" + text;
  const auto file = scratch.write("fragment_" + std::to_string(block.line) + ".toml", text);
  if (block.kind.empty())
    sim::scenario::load_scenario(file);
  else if (block.kind == "study")
    sim::sweep::load_study(file);
  else if (block.kind == "plan")
    sim::rate::load_rate_plan(file);
  else if (block.kind == "rig")
    sim::rig::load_rig_setup(file);
  else if (block.kind == "suite")
    sim::check::load_suite(file);
  else if (block.kind == "limits")
    sim::valve::read_valve_limits(file);
  else if (block.kind == "attachment")
    sim::command::attachment_input(file.string(), SILLION_SOURCE_DIR "/scenarios/demo.toml", {});
  else
    ADD_FAILURE() << block.page << ":" << block.line << ": unknown kind " << block.kind;
}

/// A table of the page, for the fragments below it that name it.
void write_csv(const support::FencedBlock& block, const ScratchFolder& scratch) {
  std::string text;
  for (const std::string& line : block.lines) text += line + "\n";
  scratch.write(block.kind, text);
}

TEST(ManualFragments, EveryOneIsReadByTheProgram) {
  const ScratchFolder scratch;
  look_like_scenarios(scratch.path());
  std::map<std::string, int> read_of_kind;
  for (const std::string& page : support::manual_pages()) {
    for (const support::FencedBlock& block :
         support::fenced_blocks(page, support::text_of_page(page))) {
      if (block.language == "csv") write_csv(block, scratch);
      if (block.language != "toml") continue;
      ++read_of_kind[block.kind];
      EXPECT_NO_THROW(read(block, scratch)) << page << ":" << block.line;
    }
  }
  EXPECT_EQ(read_of_kind.size(), 7u) << "each kind of file has a fragment";
}

TEST(ManualFragments, AWrongKeyIsFound) {
  const ScratchFolder scratch;
  look_like_scenarios(scratch.path());
  EXPECT_THROW(read({"page.md", 1, "toml", "", {"[travel]", "sped = \"9 km/h\""}}, scratch),
               sim::text::InputError);
}

}  // namespace
