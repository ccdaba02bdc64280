// Reading a technician's trace: units, separators, line numbers of mistakes, pieces, threads.
#include "sim/study/valve/trace/valve_trace.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <oneapi/tbb/global_control.h>

#include <cmath>
#include <string>

#include "sim/scenario/loader.h"
#include "tests/support/scratch_folder.h"

namespace {

using ::testing::EndsWith;
using ::testing::HasSubstr;

const std::string kHead = "time [s],command [1],current [A]\n";

std::string lines(int count, int first = 0) {
  std::string text;
  for (int k = first; k < first + count; ++k)
    text += std::to_string(k) + "e-5," + std::to_string(k % 2) + ",0.125\n";
  return text;
}

std::string file_error(const std::string& text) {
  const ScratchFolder folder;
  try {
    sim::valve::read_valve_trace(folder.write("trace.csv", text));
  } catch (const sim::text::InputError& error) {
    const std::string what = error.what();
    const std::string prefix = folder.path().string() + "/";
    return what.starts_with(prefix) ? what.substr(prefix.size()) : what;
  }
  return "taken";
}

std::string pieces_error(const std::string& text, std::size_t piece) {
  try {
    sim::valve::ValveTraceReader reader("trace.csv");
    for (std::size_t at = 0; at < text.size(); at += piece) reader.take(text.substr(at, piece));
    reader.finish();
  } catch (const sim::text::InputError& error) {
    return error.what();
  }
  return "taken";
}

// The message for a text, which must not depend on how the text is delivered.
std::string error_of(const std::string& text) {
  const std::string message = file_error(text);
  for (const std::size_t piece : {std::size_t{1}, std::size_t{7}, std::size_t{1000}})
    EXPECT_EQ(pieces_error(text, piece), message) << "in pieces of " << piece;
  return message;
}

sim::valve::ValveTrace trace_of(const std::string& text) {
  const ScratchFolder folder;
  return sim::valve::read_valve_trace(folder.write("trace.csv", text));
}

void expect_same(const sim::valve::ValveTrace& a, const sim::valve::ValveTrace& b) {
  EXPECT_EQ(a.time_s, b.time_s);
  EXPECT_EQ(a.command_ratio, b.command_ratio);
  EXPECT_EQ(a.voltage_v, b.voltage_v);
  EXPECT_EQ(a.current_a, b.current_a);
  EXPECT_EQ(a.pressure_pa, b.pressure_pa);
  EXPECT_EQ(a.exit_pressure_pa, b.exit_pressure_pa);
  EXPECT_EQ(a.flow_m3ps, b.flow_m3ps);
  EXPECT_EQ(a.mass_kg, b.mass_kg);
}

}  // namespace

TEST(ValveTrace, EveryColumnInItsUnitAndInAnyOrder) {
  std::string text =
      "\xEF\xBB\xBF# scope of the workshop\r\n\r\n"
      "mass_g;flow (ml/s);exit_pressure_mbar;pressure [bar];current [mA];voltage_mV;command;"
      "time_us\r\n";
  for (int k = 0; k < 25; ++k)
    text += "1.5; 20 ;-50;3;\"1.25e3\";-12e3;+5;" + std::to_string(10 * k) + " # note\r\n";
  const sim::valve::ValveTrace trace = trace_of(text);
  ASSERT_EQ(trace.size(), 25u);
  EXPECT_DOUBLE_EQ(trace.time_s[3], 30e-6);
  EXPECT_FLOAT_EQ(trace.command_ratio[3], 5.0f);
  EXPECT_FLOAT_EQ(trace.voltage_v[3], -12.0f);
  EXPECT_FLOAT_EQ(trace.current_a[3], 1.25f);
  EXPECT_FLOAT_EQ(trace.pressure_pa[3], 3e5f);
  EXPECT_FLOAT_EQ(trace.exit_pressure_pa[3], -5e3f);
  EXPECT_FLOAT_EQ(trace.flow_m3ps[3], 20e-6f);
  EXPECT_FLOAT_EQ(trace.mass_kg[3], 1.5e-3f);
}

TEST(ValveTrace, ColumnsThatAreNotThereAreEmpty) {
  const sim::valve::ValveTrace trace = trace_of("time [ms]\tvoltage [V]\tcurrent [A]\n" + [] {
    std::string text;
    for (int k = 0; k < 20; ++k) text += "0." + std::to_string(100 + k) + "\t12\t.5\n";
    return text;
  }());
  EXPECT_EQ(trace.size(), 20u);
  EXPECT_DOUBLE_EQ(trace.time_s[0], 0.1e-3);
  EXPECT_TRUE(trace.command_ratio.empty());
  EXPECT_EQ(trace.voltage_v.size(), 20u);
  EXPECT_TRUE(trace.flow_m3ps.empty());
}

TEST(ValveTrace, TheLastLineMayLackItsEnd) {
  std::string text = kHead + lines(20);
  text.pop_back();
  EXPECT_EQ(trace_of(text).size(), 20u);
}

TEST(ValveTrace, MistakesOfTheHeader) {
  EXPECT_EQ(error_of(""),
            "trace.csv: is empty: the first line names the columns: `time [s],command [1],current "
            "[A]`");
  EXPECT_THAT(error_of("\n# only a note\n"), HasSubstr("is empty"));
  EXPECT_THAT(error_of(lines(30)), HasSubstr("trace.csv:1: has no header"));
  EXPECT_THAT(
      error_of("time,command [1],current [A]\n" + lines(30)),
      HasSubstr("trace.csv:1: time: has no unit: write it in the header, as in `time [s]`"));
  EXPECT_THAT(error_of("time [s],command [1],curent [A]\n" + lines(30)),
              AllOf(HasSubstr("trace.csv:1: curent: no such column"),
                    EndsWith("nearest valid name: `current`")));
  EXPECT_THAT(error_of("time [s],command [1],current [V]\n" + lines(30)),
              HasSubstr("current: \"V\" is not a unit of current"));
  EXPECT_THAT(error_of("time [s],current [A]\n"), HasSubstr("command: this column is missing"));
  EXPECT_THAT(error_of("time [s],command [1]\n"), HasSubstr("current: this column is missing"));
  EXPECT_THAT(error_of("current [A],command [1]\n"), HasSubstr("time: this column is missing"));
  EXPECT_THAT(error_of("time [s],command [1],current [A],time [ms]\n"),
              HasSubstr("trace.csv:1: time: appears twice"));
  EXPECT_THAT(error_of("time [s] command [1] current [A]\n0 0 0\n"),
              HasSubstr("columns are separated by commas, semicolons or tabs"));
  EXPECT_THAT(error_of("time [s]|command [1]|current [A]\n0|0|0\n"),
              HasSubstr("columns are separated by commas, semicolons or tabs"));
}

TEST(ValveTrace, MistakesOfALineAreToldWithItsNumber) {
  const std::string good = kHead + lines(30);  // lines 1 to 31
  EXPECT_EQ(error_of(good + "1,0,abc\n"),
            "trace.csv:32: current: \"abc\" is not a number (the unit is the header's)");
  EXPECT_THAT(error_of(good + "\n# note\n1,0,1.2.3\n"), HasSubstr("trace.csv:34: current: "));
  EXPECT_THAT(error_of(good + "1,0,nan\n"), HasSubstr(":32: current: \"nan\" is not a finite"));
  EXPECT_THAT(error_of(good + "1,0,inf\n"), HasSubstr(":32: current: \"inf\" is not a finite"));
  EXPECT_THAT(error_of(good + "1,0,1e999\n"), HasSubstr(":32: current: \"1e999\" is out of range"));
  EXPECT_THAT(error_of(good + "1,0,1e35\n"), HasSubstr(":32: current: \"1e35\" is out of range"));
  EXPECT_THAT(error_of(good + "1,0,+-1\n"), HasSubstr("is not a number"));
  EXPECT_THAT(error_of(good + "1,0,\n"), HasSubstr(":32: current: is empty"));
  EXPECT_EQ(error_of(good + "1,0\n"), "trace.csv:32: this line has 2 cells, the header has 3");
  EXPECT_THAT(error_of(good + "0,5,0,0,1\n"), HasSubstr("if a comma is a decimal comma"));
  EXPECT_THAT(error_of(good + "1;0;1\n"),
              HasSubstr("it is parted by semicolons, the header by commas"));
  EXPECT_EQ(error_of("time [s];command [1];current [A]\n0,5;1;2\n"),
            "trace.csv:2: time: \"0,5\" has a decimal comma: write a point");
  EXPECT_EQ(error_of(good + "1e-5,0,1\n"),
            "trace.csv:32: time: does not rise: 1e-05 s after 0.00029 s");
  EXPECT_THAT(error_of(good + "29e-5,0,1\n"), HasSubstr("does not rise"));
  EXPECT_THAT(error_of(kHead + lines(19)), HasSubstr("holds 19 samples; at least 20 are needed"));
}

TEST(ValveTrace, BinaryContentIsNamed) {
  EXPECT_THAT(error_of(std::string("\x7f"
                                   "ELF\x02\x01\0\0",
                                   8)),
              HasSubstr("trace.csv:1: binary file"));
  EXPECT_THAT(error_of(std::string("\xFF\xFEt\0i\0", 6)), HasSubstr("binary file"));
  EXPECT_EQ(error_of(kHead + lines(30) + std::string("1,\0,0\n", 6)),
            "trace.csv:32: binary file: holds the control character 0");
  EXPECT_THAT(error_of(std::string(100'000, '\0')), HasSubstr("trace.csv:1: binary file"));
  EXPECT_THAT(error_of(kHead + std::string(100'000, '1')), HasSubstr("more than 10000 bytes"));
}

TEST(ValveTrace, OneKilohertzToOneMegahertz) {
  const auto at_rate = [](const std::string& unit) {
    std::string text = "time [" + unit + "],command [1],current [A]\n";
    for (int k = 0; k < 30; ++k) text += std::to_string(k) + ",0,0\n";
    return file_error(text);
  };
  EXPECT_EQ(at_rate("ms"), "taken");
  EXPECT_EQ(at_rate("us"), "taken");
  EXPECT_THAT(at_rate("s"), HasSubstr("is sampled every 1 s"));
  EXPECT_THAT(at_rate("ns"), HasSubstr("1 kHz to 1 MHz"));
}

TEST(ValveTrace, ALargeFileIsRefusedByItsSize) {
  const ScratchFolder folder;
  const auto file = folder.write("large.csv", kHead + lines(30));
  std::filesystem::resize_file(file, sim::valve::kMostTraceBytes + 1);  // sparse: takes no room
  try {
    sim::valve::read_valve_trace(file);
    FAIL() << "was taken";
  } catch (const sim::text::InputError& error) {
    EXPECT_THAT(error.what(), HasSubstr("large.csv: larger than 1000000000 bytes"));
  }
  EXPECT_THROW(sim::valve::read_valve_trace(folder.path()), sim::text::InputError);
  EXPECT_THROW(sim::valve::read_valve_trace(folder.path() / "none.csv"), sim::text::InputError);
}

// Several chunks of 4 MB: line numbers, joints and the number of threads must not show.
TEST(ValveTrace, ChunksAreJoinedAsOneText) {
  std::string text = kHead;
  for (int k = 0; k < 600'000; ++k)
    text += std::to_string(k) + "e-5," + std::to_string(k / 1000 % 2) + ",0.00" +
            std::to_string(k % 977) + "\n";
  ASSERT_GT(text.size(), 9'000'000u);
  const ScratchFolder folder;
  const auto file = folder.write("trace.csv", text);
  const sim::valve::ValveTrace whole = sim::valve::read_valve_trace(file);
  ASSERT_EQ(whole.size(), 600'000u);
  for (const std::size_t k : {0u, 1u, 123'456u, 599'999u})
    EXPECT_EQ(whole.time_s[k], std::stod(std::to_string(k) + "e-5"));
  {
    const oneapi::tbb::global_control one(oneapi::tbb::global_control::max_allowed_parallelism, 1);
    expect_same(sim::valve::read_valve_trace(file), whole);
  }
  sim::valve::ValveTraceReader reader("trace.csv");
  for (std::size_t at = 0; at < text.size(); at += 99'991) reader.take(text.substr(at, 99'991));
  reader.finish();
  expect_same(reader.trace(), whole);
}

TEST(ValveTrace, TheFirstMistakeByLineIsToldWhateverChunkItIsIn) {
  std::string text = kHead;
  for (int k = 0; k < 600'000; ++k) {
    const bool late = k == 599'000, early = k == 450'000;
    text += (late ? std::string("oops") : std::to_string(k) + "e-5") + "," +
            (early ? "oops" : "0") + ",0.0000000\n";
  }
  ASSERT_GT(text.size(), 9'000'000u);
  EXPECT_EQ(file_error(text),
            "trace.csv:450002: command: \"oops\" is not a number (the unit is the header's)");
}

// Lines of 20 bytes: a chunk of 4 MB ends behind the line before sample 200 000.
TEST(ValveTrace, TimeThatFallsWhereTwoChunksMeetIsSeen) {
  for (const int falls_at : {199'999, 200'000, 200'001}) {
    std::string text = kHead;
    for (int k = 0; k < 300'000; ++k)
      text += std::to_string(1'000'000 + (k >= falls_at ? k - falls_at : k)) + "e-5,0,0.0000\n";
    ASSERT_EQ(text.size(), kHead.size() + 300'000 * 20);
    EXPECT_THAT(file_error(text),
                HasSubstr("trace.csv:" + std::to_string(falls_at + 2) + ": time: does not rise"));
  }
}
