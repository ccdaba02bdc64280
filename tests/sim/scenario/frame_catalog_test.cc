// Frames are described in the same words by the catalog that `list` prints, the header that a
// controller is written from, and the constants of the interface.
#include "sim/scenario/frame_catalog.h"

#include <fmt/format.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <cctype>
#include <filesystem>
#include <nlohmann/json.hpp>
#include <regex>
#include <sstream>

#include "shared/controller_abi.h"
#include "shared/row_frames.h"
#include "sim/scenario/network_keys.h"
#include "tests/support/run_program.h"

namespace {

constexpr const char* kInterface = "/shared/controller_abi.h";

/// The text without what a comment adds: marks at a line's start go, several blanks become one.
std::string flat(const std::string& text) {
  std::istringstream lines(text);
  std::string flat_text, line;
  while (std::getline(lines, line)) {
    const std::size_t mark = line.find_first_not_of(' ');
    if (mark != std::string::npos && line[mark] == '*') line[mark] = ' ';
    std::istringstream words(line);
    for (std::string word; words >> word;) flat_text += (flat_text.empty() ? "" : " ") + word;
  }
  return flat_text;
}

std::string header() {
  return flat(support::text_of(std::string(SILLION_SOURCE_DIR) + "/shared/row_frames.h"));
}

std::string in_capitals(std::string_view name) {
  std::string capitals(name);
  std::transform(capitals.begin(), capitals.end(), capitals.begin(),
                 [](unsigned char c) { return static_cast<char>(std::toupper(c)); });
  return capitals;
}

// Frame for frame, all fields in their order, nothing between them.
TEST(FrameCatalog, IsWhatTheHeaderSays) {
  const std::string text = header();
  for (const sim::scenario::FrameKind& frame : sim::scenario::frame_kinds()) {
    const std::string id =
        frame.id > 0xfff ? fmt::format("0x{:08X}", frame.id) : fmt::format("0x{:X}", frame.id);
    std::string expected = fmt::format("/* {}, id {}, {} bytes: {}", in_capitals(frame.name), id,
                                       frame.length_bytes, frame.way);
    for (const sim::scenario::FrameField& field : frame.fields)
      expected += fmt::format(" {} {} {} {}", field.bytes, field.name, field.unit, field.meaning);
    EXPECT_NE(text.find(flat(expected)), std::string::npos) << expected << "\n\n" << text;
  }
}

TEST(FrameCatalog, InputsAreWhatTheHeaderSays) {
  const std::string text = header();
  for (const auto& inputs : {sim::scenario::analog_channels(), sim::scenario::digital_inputs()}) {
    std::string expected;
    for (const sim::scenario::InterfaceInput& one : inputs)
      expected += fmt::format("{} {} {} {} ", one.number, one.name, one.unit, one.meaning);
    EXPECT_NE(text.find(flat(expected)), std::string::npos) << expected << "\n\n" << text;
  }
  EXPECT_LE(sim::scenario::analog_channels().size(), std::size_t{SILLION_ANALOG_MAX});
}

// The bench reads or fills in every member, as its sources show.
TEST(FrameCatalog, EveryMemberIsInTheBenchsSources) {
  const std::string header = support::text_of(std::string(SILLION_SOURCE_DIR) + kInterface);
  std::string bench;
  for (const auto& file :
       std::filesystem::directory_iterator(std::string(SILLION_SOURCE_DIR) + "/sim/bench"))
    bench += support::text_of(file.path());
  int members = 0;
  for (const std::string structure : {"sillion_hardware", "sillion_input", "sillion_output"}) {
    const std::size_t end = header.find("} " + structure + ";");
    ASSERT_NE(end, std::string::npos);
    const std::size_t start = header.rfind("typedef struct {", end);
    const std::string body = header.substr(start, end - start);
    const std::regex declared(R"((?:^|\n)  \w+ (\w+)(?:\[[^;]*)?;)");
    for (std::sregex_iterator one(body.begin(), body.end(), declared), none; one != none; ++one) {
      const std::string member = (*one)[1];
      const bool used = std::regex_search(bench, std::regex("(\\.|->)" + member + "\\b"));
      EXPECT_TRUE(used) << structure << "." << member;
      ++members;
    }
  }
  EXPECT_EQ(members, 54);  // 16, 22 and 16, counted in the header by hand
}

// Bytes and bits of a frame follow one another without a gap up to its length.
TEST(FrameCatalog, FieldsCoverTheWholeFrame) {
  for (const sim::scenario::FrameKind& frame : sim::scenario::frame_kinds()) {
    unsigned bit = 0;
    for (const sim::scenario::FrameField& field : frame.fields) {
      unsigned first = 0, last = 0, from = 0, to = 7;
      const std::string bytes(field.bytes);
      if (bytes.find("bits") != std::string::npos) {
        ASSERT_EQ(std::sscanf(bytes.c_str(), "%u bits %u-%u", &first, &from, &to), 3) << bytes;
        last = first;
      } else if (std::sscanf(bytes.c_str(), "%u-%u", &first, &last) < 2) {
        last = first;
      }
      EXPECT_EQ(first * 8 + from, bit) << frame.name << ", " << bytes;
      bit = last * 8 + to + 1;
    }
    EXPECT_EQ(bit, frame.length_bytes * 8) << frame.name;
    EXPECT_LE(frame.length_bytes, std::uint32_t{SILLION_FRAME_BYTES});
  }
}

// ISO 11783-3: priority in bits 26-28, parameter group in bits 8-25, source in bits 0-7.
TEST(FrameCatalog, BusIdsHoldTheirParameterGroups) {
  const auto group = [](std::uint32_t id) { return (id >> 8) & 0x3ffffu; };
  EXPECT_EQ(group(SILLION_BUS_GROUND_SPEED), 65097u);
  EXPECT_EQ(SILLION_BUS_GROUND_SPEED >> 26, 3);
  EXPECT_EQ(SILLION_BUS_GROUND_SPEED & 0xff, 240);
  EXPECT_EQ(group(SILLION_BUS_COURSE_SPEED), 129026u);
  EXPECT_EQ(SILLION_BUS_COURSE_SPEED >> 26, 2);
  EXPECT_EQ(SILLION_BUS_COURSE_SPEED & 0xff, 0);
  EXPECT_EQ(group(SILLION_BUS_RATE) & 0x3ff00u, 0xCB00u);  // the rest is the destination
  EXPECT_EQ(group(SILLION_BUS_RATE) & 0xffu, sim::scenario::kMachineBusId & 0xffu);
  EXPECT_EQ(SILLION_BUS_RATE >> 26, 3);
  EXPECT_EQ(SILLION_BUS_RATE & 0xff, 0xF7);
}

TEST(FrameCatalog, ListPrintsEveryField) {
  std::size_t fields = 0;
  for (const sim::scenario::FrameKind& frame : sim::scenario::frame_kinds())
    fields += 1 + frame.fields.size();
  const auto entries_of = [](const char* kind) {
    const support::Ended ended = support::sillion({"list", kind, "--json"});
    EXPECT_EQ(ended.code, 0) << ended.err;
    return nlohmann::json::parse(ended.out)["entries"];
  };
  const nlohmann::json frames = entries_of("frames");
  ASSERT_EQ(frames.size(), fields);
  EXPECT_EQ(frames[0]["name"], "ground speed");
  EXPECT_EQ(frames[0]["meaning"],
            "id 0x0CFE49F0; tractor's bus to the machine controller, every 100 ms (the scenario's "
            "noise.speed_period)");
  EXPECT_EQ(frames[1]["name"], "ground speed, bytes 0-1: speed");
  EXPECT_EQ(frames[4]["name"], "ground speed, byte 7 bits 0-1: direction");
  EXPECT_EQ(frames[1]["unit"], "0.001 m/s, unsigned");
  const nlohmann::json signals = entries_of("signals");
  for (const nlohmann::json& entry : frames) {
    const auto same = [&](const nlohmann::json& one) {
      return one["name"] == "frame, " + entry["name"].get<std::string>() &&
             one["unit"] == entry["unit"] && one["meaning"] == entry["meaning"];
    };
    EXPECT_TRUE(std::any_of(signals.begin(), signals.end(), same)) << entry;
  }
}

}  // namespace
