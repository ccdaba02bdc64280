// A library is judged by its own header before any of its code runs: expected and found are named.
#include "sim/bench/controller_library.h"

#include <gtest/gtest.h>

#include <filesystem>
#include <fstream>
#include <string>

#include "sim/scenario/loader.h"
#include "tests/support/run_program.h"

namespace {

using support::ScratchFolder;
using support::text_of;

std::string library() {
  return std::string(SILLION_BINARY_DIR) + "/tests/libexample_controller.so";
}

std::string refusal_of(const std::string& file) {
  try {
    sim::bench::require_library(file);
  } catch (const sim::text::InputError& error) {
    return error.what();
  }
  return "";
}

class Library : public testing::Test {
 protected:
  std::string written(const std::string& bytes) {
    const std::filesystem::path file = scratch_.path() / "controller.so";
    std::ofstream(file, std::ios::binary) << bytes;
    return file.string();
  }
  ScratchFolder scratch_;
};

TEST_F(Library, TheExampleIsTaken) { EXPECT_EQ(refusal_of(library()), ""); }

TEST_F(Library, WhatIsNoLibraryIsSaidSo) {
  EXPECT_NE(refusal_of("no/such.so").find("no such controller library"), std::string::npos);
  EXPECT_NE(refusal_of(scratch_.path().string()).find("this is not a file"), std::string::npos);
  EXPECT_NE(refusal_of(written("")).find("this file is not one"), std::string::npos);
  EXPECT_NE(refusal_of(written("title = 1\n")).find("this file is not one"), std::string::npos);
}

// ELF, System V gABI: byte 4 is the class (1: 32 bits), bytes 18-19 the machine (40: Arm,
// 183: 64-bit Arm, 62: x86-64), byte 16 the type (2: an executable, 3: a shared object).
TEST_F(Library, OneForAnotherMachineNamesBoth) {
  std::string bytes = text_of(library());
  bytes[18] = static_cast<char>(243);
  const std::string other = refusal_of(written(bytes));
  EXPECT_NE(other.find("built for RISC-V; sillion runs on"), std::string::npos) << other;
  bytes = text_of(library());
  bytes[4] = 1;
  bytes[18] = 40;
  const std::string narrow = refusal_of(written(bytes));
  EXPECT_NE(narrow.find("built for 32-bit Arm"), std::string::npos) << narrow;
  bytes = text_of(library());
  bytes[16] = 2;
  EXPECT_NE(refusal_of(written(bytes)).find("link it with -shared"), std::string::npos);
}

TEST_F(Library, OneThatIsCutShortIsFoundOut) {
  const std::string whole = text_of(library());
  for (const std::size_t kept :
       {std::size_t{10}, std::size_t{40}, std::size_t{100}, std::size_t{1000}, whole.size() / 2}) {
    const std::string words = refusal_of(written(whole.substr(0, kept)));
    EXPECT_NE(words.find("cut short"), std::string::npos) << kept << ": " << words;
  }
}

TEST_F(Library, AMissingFunctionIsNamed) {
  const std::string source = (scratch_.path() / "none.c").string();
  std::ofstream(source) << "int sillion_describe(void) { return 0; }\n";
  const std::string file = (scratch_.path() / "none.so").string();
  if (support::run_program({"cc", "-shared", "-fPIC", source, "-o", file}).code != 0)
    GTEST_SKIP() << "needs a C compiler";
  try {
    sim::bench::load_controller(file);
    FAIL();
  } catch (const sim::text::InputError& error) {
    EXPECT_NE(std::string(error.what()).find("does not export sillion_init"), std::string::npos);
  }
}

}  // namespace
