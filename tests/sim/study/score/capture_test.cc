#include "sim/study/score/capture.h"

#include <gtest/gtest.h>

#include <cmath>
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
  EXPECT_NE(mistake("a.csv", "t_s,sensor,drive\n1,0,0\n0.5,0,0\n")
                .find(":3: t_s: time runs backwards from"),
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
  EXPECT_NE(mistake("a.sr", "").find("a.sr: the file is empty"), std::string::npos);
  EXPECT_NE(mistake("a.csv", "ms,t_s\n1,2\n").find("the first column is \"ms\", but it has to be"),
            std::string::npos);
  EXPECT_NE(mistake("a.csv", "t_s;sensor;drive\n0;0;0\n1,5;0;0\n")
                .find(":3: t_s: \"1,5\" is no number; decimals stand behind a point"),
            std::string::npos);
}

TEST_F(Captures, AFolderIsNoRecording) {
  std::string told;
  try {
    read_capture(folder_.path(), {});
  } catch (const sim::text::InputError& error) {
    told = error.what();
  }
  EXPECT_EQ(told, folder_.path().string() + ": cannot be read: is a folder");
}

// Spreadsheets of some countries write a byte order mark, semicolons and CR LF at a line's end.
TEST_F(Captures, ATableOfASpreadsheetIsRead) {
  const Capture capture = read_capture(
      file("a.csv", "\xEF\xBB\xBFt_s;sensor;drive\r\n0;0;0\r\n1.5;1;0\r\n1.503;0;0\r\n"), {});
  ASSERT_EQ(capture.rows[0].edges.size(), 1u);
  EXPECT_DOUBLE_EQ(capture.rows[0].edges[0].rising_s, 1.5);
}

// Numbers of 53 bits near 1.7e9 (seconds since 1970) are 2^-22 s apart, near 8.6e9 2^-19 s: 1.9 us.
TEST_F(Captures, LargeInstantsAreReadAsFarAsTheyTell) {
  const Capture capture = read_capture(
      file("a.csv", "t_s,sensor,drive\n1700000000,0,0\n1700000001.5,1,0\n1700000001.5000003,0,0\n"),
      {});
  EXPECT_DOUBLE_EQ(capture.rows[0].edges[0].rising_s, 1.5);
  EXPECT_DOUBLE_EQ(capture.resolution_s, std::ldexp(1.0, -22));
  EXPECT_NE(mistake("a.csv", "t_s,sensor,drive\n8600000000,0,0\n")
                .find(":2: t_s: \"8600000000\" is so large that microseconds are lost"),
            std::string::npos);
  EXPECT_NE(mistake("a.csv", "t_s,sensor,drive\n0,0,0\n-1e308,0,0\n").find(":3: t_s:"),
            std::string::npos);
  EXPECT_NE(mistake("a.csv", "t_s,sensor,drive\n0,0,0\n604801,0,0\n")
                .find(":3: t_s: this instant is 604801 s behind the first one"),
            std::string::npos);
  EXPECT_NE(
      mistake("a.vcd", std::string(kDump) + "#9223372036854775807\n").find("behind the first"),
      std::string::npos);
  EXPECT_NE(mistake("a.vcd", std::string(kDump) + "#99999999999999999999\n").find("no instant"),
            std::string::npos);
  // IEEE Std 1364-2005, 18.2.1: a simulation time is a decimal number without a sign.
  EXPECT_NE(mistake("a.vcd", std::string(kDump) + "#-3\n").find("`#-3` is no instant"),
            std::string::npos);
}

TEST_F(Captures, PinsThatLookWronglyWiredAreNamed) {
  const auto doubts = [&](const std::string& table, const CaptureWords& words = {}) {
    return read_capture(file("a.csv", table), words).doubts;
  };
  const std::string begin = "t_s,sensor,drive\n0,0,0\n1,1,0\n1.1,0,0\n2,0,1\n2.1,0,0\n4,0,0\n";
  EXPECT_EQ(doubts(begin), std::vector<std::string>{});
  // A sensor that pulls down rests at 1: 4 s less 0.08 s are 98 % of 4 s.
  const std::string idle_high = "t_s,sensor,drive\n0,1,0\n1,0,0\n1.08,1,0\n2,1,1\n2.1,1,0\n4,1,0\n";
  EXPECT_EQ(doubts(idle_high),
            std::vector<std::string>{
                "row0.sensor is 1 for 98 % of the recording; if it rests at 1, add --invert "
                "row0.sensor"});
  EXPECT_EQ(doubts(idle_high, {.names = {}, .inverted = {"sensor"}}), std::vector<std::string>{});
  EXPECT_EQ(doubts("t_s,sensor,drive\n0,0,0\n1,1,0\n1.1,0,0\n4,0,0\n"),
            std::vector<std::string>{"row0.drive never rises"});
  EXPECT_EQ(doubts("t_s,sensor,drive\n0,0,1\n1,1,1\n1.1,0,1\n4,0,1\n"),
            std::vector<std::string>{
                "row0.drive never rises; if it rests at 1, add --invert row0.drive"});
  EXPECT_EQ(doubts(begin + "4.5,0,1\n5,0,1\n"),
            std::vector<std::string>{"row0.drive is 1 when the recording ends, since 4.500000 s"});
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
