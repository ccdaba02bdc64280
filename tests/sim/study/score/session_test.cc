// Sessions of the sigrok programs with a current: one that is made here and one that sigrok-cli
// makes of a table show the same openings as that table.
#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <zip.h>

#include <bit>
#include <cmath>
#include <filesystem>
#include <fstream>
#include <map>
#include <string>

#include "sim/study/score/capture.h"
#include "sim/text/input_error.h"
#include "tests/support/run_program.h"

namespace {

using sim::score::Capture;
using sim::score::CaptureWords;
using sim::score::read_capture;
using testing::AllOf;
using testing::HasSubstr;

constexpr int kRate_hz = 20'000;
constexpr int kSamples =
    40'001;  // 2 s, more than are read at once, and not a whole number of these

/// Pins of one row, a sample every 50 us: a seed every 100 ms for 3 ms, and a drive of 9 ms behind
/// each whose current rises, dips while the plunger moves and rises again.
struct Sample {
  bool sensor = false, drive = false;
  float current_a = 0.0f;
};
Sample sample_at(int k) {
  const int phase = k % 2000;  // of 100 ms
  Sample sample{.sensor = phase >= 200 && phase < 260, .drive = phase >= 600 && phase < 780};
  const double driven_s = (phase - 600) / static_cast<double>(kRate_hz);
  if (!sample.drive) return sample;
  const double corner_s = 4e-3 + 1e-7 * (k / 2000);
  if (driven_s < 3e-3)
    sample.current_a = static_cast<float>(500.0 * driven_s);
  else if (driven_s < corner_s)
    sample.current_a = static_cast<float>(1.5 - 300.0 * (driven_s - 3e-3));
  else
    sample.current_a = static_cast<float>(1.2 + 100.0 * (driven_s - corner_s));
  return sample;
}

/// The digits of the current name that very number, so that nothing is rounded on any way.
std::string table_text() {
  std::string text = "t_s,sensor,drive,current_a\n";
  char line[80];
  for (int k = 0; k < kSamples; ++k) {
    const Sample sample = sample_at(k);
    std::snprintf(line, sizeof line, "%d.%06d,%d,%d,%.17g\n", k / kRate_hz,
                  k % kRate_hz * (1'000'000 / kRate_hz), sample.sensor, sample.drive,
                  static_cast<double>(sample.current_a));
    text += line;
  }
  return text;
}

using Files = std::map<std::string, std::string>;

std::string floats(int from, int to) {
  std::string bytes;
  for (int k = from; k < to; ++k) {
    const auto word = std::bit_cast<std::uint32_t>(sample_at(k).current_a);
    for (int byte = 0; byte < 4; ++byte) bytes += static_cast<char>(word >> 8 * byte & 0xff);
  }
  return bytes;
}

/// A session as sigrok-cli writes it; logic and current are cut at different places.
Files session_files() {
  std::string logic;
  for (int k = 0; k < kSamples; ++k)
    logic += static_cast<char>((sample_at(k).sensor ? 1 : 0) | (sample_at(k).drive ? 2 : 0));
  return {{"version", "2"},
          {"metadata",
           "[global]\nsigrok version=0.5.2\n\n[device 1]\ncapturefile=logic-1\ntotal probes=2\n"
           "samplerate=20 kHz\ntotal analog=2\nprobe1=sensor\nprobe2=drive\nanalog3=current_a\n"
           "analog4=supply\nunitsize=1\n"},
          {"logic-1-1", logic.substr(0, 30'000)},
          {"logic-1-2", logic.substr(30'000)},
          {"analog-1-3-1", floats(0, 11'111)},
          {"analog-1-3-2", floats(11'111, kSamples)}};
}

class Sessions : public testing::Test {
 protected:
  std::string path(const std::string& name) const { return (folder_.path() / name).string(); }
  std::string zipped(const Files& files) const {
    const std::string to = path("made.sr");
    std::filesystem::remove(to);
    int error = 0;
    zip_t* const zip = zip_open(to.c_str(), ZIP_CREATE, &error);
    for (const auto& [name, bytes] : files)
      zip_file_add(zip, name.c_str(), zip_source_buffer(zip, bytes.data(), bytes.size(), 0), 0);
    EXPECT_EQ(zip_close(zip), 0);
    return to;
  }
  std::string mistake(const Files& files, const CaptureWords& words = {}) const {
    return mistake_of(zipped(files), words);
  }
  static std::string mistake_of(const std::string& file, const CaptureWords& words = {}) {
    try {
      read_capture(file, words);
    } catch (const sim::text::InputError& error) {
      return error.what();
    }
    return "";
  }
  Capture table() const {
    std::ofstream(path("made.csv")) << table_text();
    return read_capture(path("made.csv"), {});
  }
  support::ScratchFolder folder_;
};

/// To the last bit.
void expect_same(const Capture& a, const Capture& b) {
  ASSERT_EQ(a.rows.size(), b.rows.size());
  ASSERT_EQ(a.openings.size(), b.openings.size());
  EXPECT_EQ(a.current_step_s, b.current_step_s);
  for (std::size_t row = 0; row < a.rows.size(); ++row) {
    ASSERT_EQ(a.openings[row].size(), b.openings[row].size());
    for (std::size_t k = 0; k < a.openings[row].size(); ++k) {
      EXPECT_EQ(a.openings[row][k].command_s, b.openings[row][k].command_s);
      EXPECT_EQ(a.openings[row][k].stop_s, b.openings[row][k].stop_s) << k;
    }
    ASSERT_EQ(a.rows[row].edges.size(), b.rows[row].edges.size());
    for (std::size_t k = 0; k < a.rows[row].edges.size(); ++k)
      EXPECT_EQ(a.rows[row].edges[k].rising_s, b.rows[row].edges[k].rising_s);
    ASSERT_EQ(a.rows[row].drives.size(), b.rows[row].drives.size());
    for (std::size_t k = 0; k < a.rows[row].drives.size(); ++k)
      EXPECT_EQ(a.rows[row].drives[k].off_s, b.rows[row].drives[k].off_s);
  }
}

// By hand: 20 pulses, each command 30 ms into its 100 ms, the corner 4 ms behind it, moved by 0.1
// us from pulse to pulse; read to a sample of 50 us.
TEST_F(Sessions, ACurrentShowsTheOpeningsOfTheSameTable) {
  const Capture session = read_capture(zipped(session_files()), {});
  ASSERT_EQ(session.openings.size(), 1u);
  ASSERT_EQ(session.openings[0].size(), 20u);
  for (std::size_t k = 0; k < 20; ++k) {
    EXPECT_NEAR(session.openings[0][k].command_s, 0.1 * static_cast<double>(k) + 0.03, 1e-9);
    EXPECT_NEAR(session.openings[0][k].stop_s - session.openings[0][k].command_s, 4e-3, 50e-6);
  }
  EXPECT_DOUBLE_EQ(session.lasts_s, kSamples / static_cast<double>(kRate_hz));
  expect_same(session, table());
}

TEST_F(Sessions, SigrokCliMakesOneOfATable) {
  const Capture from_table = table();
  const auto turned = support::run_program(
      {"sigrok-cli", "-I", "csv:column_formats=t,2l,a:samplerate=" + std::to_string(kRate_hz), "-i",
       path("made.csv"), "-o", path("turned.sr")});
  if (turned.code == 127) GTEST_SKIP() << "needs sigrok-cli";
  ASSERT_EQ(turned.code, 0) << turned.err;
  const Capture session = read_capture(path("turned.sr"), {});
  ASSERT_EQ(session.openings[0].size(), 20u);
  expect_same(session, from_table);
}

TEST_F(Sessions, ColumnsOfATableMayStandInAnyOrder) {
  const Capture before = table();
  std::ofstream file(path("turned.csv"));
  file << "t_s,current_a,drive,sensor\n";
  std::ifstream made(path("made.csv"));
  std::string at, sensor, drive, current;
  std::getline(made, at);
  while (std::getline(made, at, ',') && std::getline(made, sensor, ',') &&
         std::getline(made, drive, ',') && std::getline(made, current))
    file << at << ',' << current << ',' << drive << ',' << sensor << '\n';
  file.close();
  expect_same(read_capture(path("turned.csv"), {}), before);
}

// Channels that nobody asks for are not read, so their files may lack; without names, the current
// is named like any signal.
TEST_F(Sessions, AChannelIsNamedLikeAnySignal) {
  Files files = session_files();
  const Capture before = read_capture(zipped(files), {});
  files["metadata"] =
      "[device 1]\ncapturefile=logic-1\nsamplerate=20 kHz\nprobe1=D0\nprobe2=D1\nanalog3=A0\n";
  const CaptureWords two{.names = {{"row0.sensor", "D0"}, {"row0.drive", "D1"}}, .inverted = {}};
  EXPECT_EQ(read_capture(zipped(files), two).current_step_s, 0.0);
  CaptureWords three = two;
  three.names["row0.current_a"] = "A0";
  expect_same(read_capture(zipped(files), three), before);
  three.names["row0.current_a"] = "A1";
  EXPECT_THAT(mistake(files, three), AllOf(HasSubstr("no signal `A1`"), HasSubstr("D0, D1, A0"),
                                           HasSubstr("nearest valid name: `A0`")));
  three.names["row0.current_a"] = "D0";
  EXPECT_THAT(mistake(files, three), HasSubstr("`D0` is row0.current_a already"));
  three.names = {{"row0.sensor", "D0"}, {"row0.drive", "A0"}};
  EXPECT_THAT(mistake(files, three), AllOf(HasSubstr("row0.drive needs a signal of levels, but "
                                                     "`A0` holds numbers"),
                                           HasSubstr("D0, D1")));
  three.names = {{"row0.sensor", "D0"}, {"row0.drive", "D1"}, {"row1.sensor", "A0"}};
  EXPECT_THAT(mistake(files, three), HasSubstr("row 1 has no signal row1.drive"));
}

TEST_F(Sessions, AMissingOrCutCurrentIsNamed) {
  Files files = session_files();
  files.erase("analog-1-3-1");
  files["analog-1-4-1"] = "";
  EXPECT_THAT(mistake(files), AllOf(HasSubstr("made.sr: metadata: analog3=current_a: the archive "
                                              "has no `analog-1-3-1`"),
                                    HasSubstr("nearest: `analog-1-")));
  files = session_files();
  files["analog-1-3-2"].pop_back();
  EXPECT_THAT(mistake(files), AllOf(HasSubstr("analog3=current_a: `analog-1-3-2` has 115559 bytes"),
                                    HasSubstr("cut off")));
  files["analog-1-3-2"].resize(40'000);
  EXPECT_THAT(mistake(files), HasSubstr("`analog-1-3-2` ends after sample 21111, but the logic has "
                                        "40001 samples"));
  files.erase("analog-1-3-2");
  EXPECT_THAT(mistake(files), HasSubstr("`analog-1-3-1` ends after sample 11111"));
}

TEST_F(Sessions, ASampleThatIsNoNumberIsNamed) {
  Files files = session_files();
  std::string& part = files["analog-1-3-2"];
  const auto put = [&](int sample, float value) {
    const auto word = std::bit_cast<std::uint32_t>(value);
    for (std::size_t k = 0; k < 4; ++k)
      part[static_cast<std::size_t>(4 * (sample - 11'111)) + k] =
          static_cast<char>(word >> 8 * k & 0xff);
  };
  put(30'000, -INFINITY);
  EXPECT_THAT(mistake(files), HasSubstr("analog3=current_a: sample 30000, 1.5 s: -inf"));
  put(20'000, NAN);
  EXPECT_THAT(mistake(files), HasSubstr("analog3=current_a: sample 20000, 1 s: nan is no number"));
}

TEST_F(Sessions, WithoutLogicThereIsNothingToScore) {
  Files files = session_files();
  files.erase("logic-1-1");
  files.erase("logic-1-2");
  EXPECT_THAT(mistake(files), HasSubstr("no logic: the archive has no `logic-1-1`"));
  files["logic-1-1"] = "";
  EXPECT_THAT(mistake(files), HasSubstr("nothing is recorded: `logic-1-1` is empty"));
  files["metadata"] = "[device 1]\nsamplerate=20 kHz\ntotal analog=1\nanalog1=current_a\n";
  EXPECT_THAT(mistake(files), HasSubstr("no logic channel (probeN=NAME), analog channels alone"));
  files["metadata"] = "[device 1]\nprobe1=sensor\nprobe2=drive\n";
  EXPECT_THAT(mistake(files), HasSubstr("metadata: no samplerate"));
  files["metadata"] = "samplerate=20 kHz\nprobe1=sensor\nprobe2=drive\nunitsize=-1\n";
  EXPECT_THAT(mistake(files), HasSubstr("metadata: unitsize=-1: a whole number from 1 to 8"));
  files.erase("metadata");
  EXPECT_THAT(mistake(files), HasSubstr("the archive has no `metadata`"));
}

// One changed bit of a stored (not compressed) current: the archive's check sum tells.
TEST_F(Sessions, ADamagedCurrentIsNoticed) {
  const std::string file = zipped(session_files());
  std::string bytes;
  int error = 0;
  zip_t* const zip = zip_open(file.c_str(), 0, &error);
  for (const char* name : {"analog-1-3-1", "analog-1-3-2"})
    zip_set_file_compression(zip, static_cast<zip_uint64_t>(zip_name_locate(zip, name, 0)),
                             ZIP_CM_STORE, 0);
  ASSERT_EQ(zip_close(zip), 0);
  std::ifstream in(file, std::ios::binary);
  bytes.assign(std::istreambuf_iterator<char>(in), {});
  const std::size_t at = bytes.find(floats(38'610, 38'770));
  ASSERT_NE(at, std::string::npos);
  bytes[at + 400] = static_cast<char>(bytes[at + 400] ^ 1);
  std::ofstream(path("damaged.sr"), std::ios::binary) << bytes;
  EXPECT_THAT(mistake_of(path("damaged.sr")),
              HasSubstr("`analog-1-3-2` in the archive is damaged"));
}

// The command itself: a pin is named once, and nothing is written.
TEST_F(Sessions, APinThatIsNamedTwiceIsRefused) {
  const auto told = support::run_program(
      {support::sillion_path(), "score", zipped(session_files()), "--row",
       std::string(SILLION_SOURCE_DIR) + "/scenarios/demo.toml", "--signal", "row0.sensor=sensor",
       "--signal", "row0.sensor=drive", "--out", path("out")});
  EXPECT_EQ(told.code, 2);
  EXPECT_THAT(told.err, HasSubstr("--signal row0.sensor=drive: row0.sensor is sensor already"));
  EXPECT_FALSE(std::filesystem::exists(path("out")));
}

}  // namespace
