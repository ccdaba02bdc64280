#include "sim/study/score/capture.h"

#include <gtest/gtest.h>

#include <filesystem>
#include <fstream>
#include <string>

#include "sim/text/input_error.h"
#include "tests/support/run_program.h"

namespace {

using sim::score::Capture;
using sim::score::CaptureWords;
using sim::score::read_capture;

class Captures : public testing::Test {
 protected:
  std::string file(const std::string& name, const std::string& text) const {
    const std::string path = (std::filesystem::path(folder_.path()) / name).string();
    std::ofstream(path, std::ios::binary) << text;
    return path;
  }
  std::string path(const std::string& name) const {
    return (std::filesystem::path(folder_.path()) / name).string();
  }
  std::string mistake(const std::string& name, const std::string& text,
                      const CaptureWords& words = {}) const {
    try {
      read_capture(file(name, text), words);
    } catch (const sim::text::InputError& error) {
      return error.what();
    }
    return "";
  }
  support::ScratchFolder folder_;
};

const char* const kDump =
    "$date today $end\n$timescale 10us $end\n"
    "$scope module row0 $end $var wire 1 ! sensor $end $var wire 1 \" drive $end $upscope $end\n"
    "$enddefinitions $end\n"
    "#100\n$dumpvars\n0!\n0\"\n$end\n#300\n1!\n#600\n0!\n#700\n1\"\n#1100\nb0 \"\n#2100\n";

// By hand: units of 10 us, counted from the first instant (100): 2 ms to 5 ms, 6 ms to 10 ms.
TEST_F(Captures, ADumpIsReadFromItsFirstInstant) {
  const Capture capture = read_capture(file("a.vcd", kDump), {});
  ASSERT_EQ(capture.rows.size(), 1u);
  ASSERT_EQ(capture.rows[0].edges.size(), 1u);
  EXPECT_DOUBLE_EQ(capture.rows[0].edges[0].rising_s, 2e-3);
  EXPECT_DOUBLE_EQ(capture.rows[0].edges[0].falling_s, 5e-3);
  ASSERT_EQ(capture.rows[0].drives.size(), 1u);
  EXPECT_DOUBLE_EQ(capture.rows[0].drives[0].on_s, 6e-3);
  EXPECT_DOUBLE_EQ(capture.rows[0].drives[0].off_s, 10e-3);
  EXPECT_DOUBLE_EQ(capture.lasts_s, 20e-3);
  EXPECT_DOUBLE_EQ(capture.resolution_s, 10e-6);
}

TEST_F(Captures, ATableHasTheSameSignals) {
  const Capture capture = read_capture(
      file("a.csv",
           "# from a scope\nt_s;D0;D1\n5;5.0;0\n5.002;0.1;0\n5.005;4.9;0\n5.006;5;3.3\n5.01;5;0\n"),
      {.names = {{"row0.sensor", "D0"}, {"row0.drive", "D1"}}, .inverted = {"row0.sensor"}});
  ASSERT_EQ(capture.rows[0].edges.size(), 1u);
  EXPECT_NEAR(capture.rows[0].edges[0].rising_s, 2e-3, 1e-12);
  EXPECT_NEAR(capture.rows[0].edges[0].falling_s, 5e-3, 1e-12);
  ASSERT_EQ(capture.rows[0].drives.size(), 1u);
  EXPECT_NEAR(capture.rows[0].drives[0].on_s, 6e-3, 1e-12);
  EXPECT_NEAR(capture.resolution_s, 1e-3, 1e-12);
  EXPECT_FALSE(capture.resolution_known);
}

// Nobody knows when a level began that stands at the first instant; one that stands at the end has
// lasted until then.
TEST_F(Captures, WhatStandsAtTheEndsOfTheRecording) {
  const Capture capture =
      read_capture(file("a.csv", "t_s,sensor,drive\n0,1,1\n1,0,0\n2,1,1\n3,1,1\n"), {});
  ASSERT_EQ(capture.rows[0].edges.size(), 1u);
  EXPECT_DOUBLE_EQ(capture.rows[0].edges[0].rising_s, 2.0);
  EXPECT_DOUBLE_EQ(capture.rows[0].edges[0].falling_s, 3.0);
  EXPECT_EQ(capture.rows[0].drives.size(), 1u);
}

TEST_F(Captures, MistakesAreNamedWithFileAndLine) {
  EXPECT_NE(mistake("a.csv", "time,sensor\n1,2\n").find("a.csv:1: the first column"),
            std::string::npos);
  EXPECT_NE(mistake("a.csv", "t_s,sensor,drive\n1,0,0\n0.5,0,0\n").find(":3: time runs backwards"),
            std::string::npos);
  EXPECT_NE(mistake("a.csv", "t_s,sensor,drive\n1,0\n").find(":2: 2 cells, but 3 columns"),
            std::string::npos);
  EXPECT_NE(mistake("a.csv", "t_s,sensor,drive\n1,x,0\n").find("is no number"), std::string::npos);
  EXPECT_NE(mistake("a.csv", "t_s,sensor\n1,0\n").find("row 0 has no signal row0.drive"),
            std::string::npos);
  EXPECT_NE(mistake("a.csv", "t_s,D0\n1,0\n", {.names = {{"row0.sensor", "DO"}}}).find("nearest"),
            std::string::npos);
  EXPECT_NE(mistake("a.csv", "t_s,D0\n1,0\n", {.names = {{"row0.seed", "D0"}}}).find("no signal"),
            std::string::npos);
  EXPECT_NE(mistake("a.vcd", "$timescale 3 weeks $end").find("$timescale 3weeks"),
            std::string::npos);
  EXPECT_NE(mistake("a.vcd", "$scope module row0 $end $var wire 1 ! sensor $end").find("ends in"),
            std::string::npos);
  EXPECT_NE(mistake("a.vcd", std::string(kDump) + "#5\n").find("time runs backwards"),
            std::string::npos);
  EXPECT_NE(mistake("a.vcd", std::string(kDump) + "1?\n").find("the code of no signal"),
            std::string::npos);
  EXPECT_NE(mistake("a.sr", "PK\3\4 broken").find("no ZIP archive"), std::string::npos);
  EXPECT_NE(mistake("a.sr", "").find("is empty"), std::string::npos);
}

// A session and a dump that sigrok-cli wrote of one recording, each read here, hold the same edges.
TEST_F(Captures, AnIndependentProgramsFilesAreRead) {
  const auto made =
      support::run_program({"sigrok-cli", "-d", "demo:logic_channels=4:analog_channels=0", "-c",
                            "samplerate=200k", "--samples", "40000", "-o", path("demo.sr")});
  if (made.code == 127) GTEST_SKIP() << "needs sigrok-cli";
  ASSERT_EQ(made.code, 0) << made.err;
  const auto turned = support::run_program(
      {"sigrok-cli", "-i", path("demo.sr"), "-O", "vcd", "-o", path("demo.vcd")});
  ASSERT_EQ(turned.code, 0) << turned.err;
  const CaptureWords words{.names = {{"row0.sensor", "D0"}, {"row0.drive", "D1"}}, .inverted = {}};
  const Capture session = read_capture(path("demo.sr"), words);
  const Capture dump = read_capture(path("demo.vcd"), words);
  EXPECT_NEAR(session.lasts_s, 0.2, 1e-9);
  EXPECT_NEAR(session.resolution_s, 5e-6, 1e-12);
  ASSERT_GT(session.rows[0].edges.size(), 100u);
  ASSERT_EQ(session.rows[0].edges.size(), dump.rows[0].edges.size());
  for (std::size_t k = 0; k < session.rows[0].edges.size(); ++k)
    EXPECT_NEAR(session.rows[0].edges[k].rising_s, dump.rows[0].edges[k].rising_s, 1e-9);
  ASSERT_EQ(session.rows[0].drives.size(), dump.rows[0].drives.size());
  for (std::size_t k = 0; k < session.rows[0].drives.size(); ++k)
    EXPECT_NEAR(session.rows[0].drives[k].off_s, dump.rows[0].drives[k].off_s, 1e-9);
}

}  // namespace
