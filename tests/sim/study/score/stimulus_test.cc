#include "sim/study/score/stimulus.h"

#include <gtest/gtest.h>

#include <cstdint>
#include <filesystem>
#include <fstream>

#include "sim/scenario/loader.h"
#include "sim/study/score/capture.h"
#include "sim/text/input_error.h"
#include "tests/support/run_program.h"

namespace {

using sim::score::Pins;

sim::scenario::Scenario still(int rows) {
  return sim::scenario::load_scenario(
      std::string(SILLION_SOURCE_DIR) + "/scenarios/pull_request_still.toml",
      {"duration=3 s", "row.count=" + std::to_string(rows)});
}

std::uint32_t word(const std::string& bytes, std::size_t at, int count) {
  std::uint32_t value = 0;
  for (int k = 0; k < count; ++k)
    value |= std::uint32_t{static_cast<unsigned char>(bytes[at + static_cast<std::size_t>(k)])}
             << 8 * k;
  return value;
}

// 130 pulses per metre at 16 km/h are 577.8 a second; two toggles each.
TEST(Stimulus, SpeedIsPulsesOverTheWay) {
  const Pins pins = sim::score::stimulus_of(still(1));
  ASSERT_EQ(pins.pins.back().name, "speed");
  const auto& toggles = pins.pins.back().toggles_ns;
  const double pulses_a_second =
      static_cast<double>(toggles.size()) / 2.0 / (static_cast<double>(pins.end_ns) * 1e-9);
  EXPECT_NEAR(pulses_a_second, 130.0 * 16.0 / 3.6, 0.5);
  EXPECT_NEAR(static_cast<double>(toggles[2] - toggles[0]) * 1e-9, 3.6 / 2080.0, 2e-9);
}

// RIFF/WAVE by its published layout (Microsoft and IBM, 1991): sizes, channels and samples where
// they have to be; an edge is at the sample that is nearest to it.
TEST(Stimulus, AWaveFileHasAChannelPerSignal) {
  Pins pins{.scenario = "made", .pins = {}, .end_ns = 10'000'000};
  pins.pins.push_back({"row0", "sensor", {2'000'000, 5'000'000}});
  pins.pins.push_back({"machine", "speed", {4'400'000}});
  const std::string bytes = sim::score::pins_wav(pins, 1000);
  EXPECT_EQ(bytes.substr(0, 4), "RIFF");
  EXPECT_EQ(bytes.substr(8, 8), "WAVEfmt ");
  EXPECT_EQ(word(bytes, 4, 4), bytes.size() - 8);
  EXPECT_EQ(word(bytes, 20, 2), 1u);
  EXPECT_EQ(word(bytes, 22, 2), 2u);
  EXPECT_EQ(word(bytes, 24, 4), 1000u);
  EXPECT_EQ(word(bytes, 32, 2), 4u);
  EXPECT_EQ(word(bytes, 40, 4), 10u * 2 * 2);
  const auto level = [&](std::size_t sample, std::size_t channel) {
    return word(bytes, 44 + 4 * sample + 2 * channel, 2) == 0x4000u;
  };
  for (std::size_t k = 0; k < 10; ++k) {
    EXPECT_EQ(level(k, 0), k >= 2 && k < 5) << k;
    EXPECT_EQ(level(k, 1), k >= 4) << k;
  }
  EXPECT_EQ(sim::score::pins_raw(pins, 1000), std::string("\0\0\1\1\3\2\2\2\2\2", 10));
  pins.pins.resize(9, pins.pins[0]);
  EXPECT_THROW(sim::score::pins_raw(pins, 1000), sim::text::InputError);
}

// The dump through sigrok-cli into a session of 1 MHz: every edge is found again within a sample.
TEST(Stimulus, AnIndependentProgramReadsTheDump) {
  const support::ScratchFolder folder;
  const auto path = [&](const char* name) {
    return (std::filesystem::path(folder.path()) / name).string();
  };
  const Pins pins = sim::score::stimulus_of(still(1), {.drives = true});
  std::ofstream(path("pins.vcd")) << sim::score::pins_vcd(pins);
  const auto turned = support::run_program(
      {"sigrok-cli", "-I", "vcd:downsample=1000", "-i", path("pins.vcd"), "-o", path("pins.sr")});
  if (turned.code == 127) GTEST_SKIP() << "needs sigrok-cli";
  ASSERT_EQ(turned.code, 0) << turned.err;
  sim::score::CaptureWords words;
  const sim::score::Capture own = sim::score::read_capture(path("pins.vcd"), words);
  words.names = {{"row0.sensor", "row0.sensor"}, {"row0.drive", "row0.drive"}};
  const sim::score::Capture session = sim::score::read_capture(path("pins.sr"), words);
  ASSERT_GT(own.rows[0].edges.size(), 20u);
  ASSERT_EQ(session.rows[0].edges.size(), own.rows[0].edges.size());
  for (std::size_t k = 0; k < own.rows[0].edges.size(); ++k)
    EXPECT_NEAR(session.rows[0].edges[k].rising_s, own.rows[0].edges[k].rising_s, 1.1e-6);
  ASSERT_EQ(session.rows[0].drives.size(), own.rows[0].drives.size());
}

}  // namespace
