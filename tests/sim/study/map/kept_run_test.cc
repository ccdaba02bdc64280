// The results of a pass as they are read back for a map.
#include "sim/study/map/kept_run.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "sim/text/input_error.h"
#include "tests/support/made_result.h"
#include "tests/support/run_program.h"

namespace {

using support::ScratchFolder;
using ::testing::HasSubstr;

std::string mistake_of(const std::filesystem::path& folder) {
  try {
    const sim::map::KeptRun run = sim::map::read_kept_run(folder);
    sim::map::for_each_band(run, [](const sim::map::KeptBand&) {});
  } catch (const sim::text::InputError& error) {
    return error.what();
  }
  return "none";
}

/// Replaces a text of a file that must be there.
void change(const std::filesystem::path& file, const std::string& from, const std::string& to) {
  std::string text = support::text_of(file);
  const std::size_t at = text.find(from);
  ASSERT_NE(at, std::string::npos) << from;
  text.replace(at, from.size(), to);
  std::ofstream(file, std::ios::binary) << text;
}

TEST(KeptRun, HasEverySecondAndEveryBand) {
  const ScratchFolder scratch;
  const support::MadeResult made{.rows = 3, .seconds = 5, .bands_in_second = 4};
  support::write_made_result(scratch.path(), made);
  const sim::map::KeptRun run = sim::map::read_kept_run(scratch.path());
  EXPECT_EQ(run.rows, 3u);
  EXPECT_EQ(run.seconds, 5u);
  EXPECT_EQ(run.name, "made");
  EXPECT_NEAR(run.width_m, made.width_m, 1e-12);
  EXPECT_NEAR(run.band_area_m2, made.band_length_m * made.width_m, 1e-12);
  EXPECT_EQ(run.at(2, 4).from_s, 4.0);
  int bands = 0;
  double volume_m3 = 0.0;
  sim::map::for_each_band(run, [&](const sim::map::KeptBand& band) {
    ++bands;
    volume_m3 += band.dose_m3;
    EXPECT_NEAR(band.centre_x_ground_m, band.open_s * made.speed_mps + 0.002, 1e-12);
  });
  EXPECT_EQ(bands, 3 * 5 * 4);
  EXPECT_NEAR(volume_m3, made.volume_m3(), 1e-15);
}

// Two seeds in one stretch: the table names the band beside both, and it is one band.
TEST(KeptRun, AMergedBandComesOnce) {
  const ScratchFolder scratch;
  support::write_made_result(scratch.path(), {.rows = 1, .seconds = 1, .bands_in_second = 2});
  const auto file = scratch.path() / "seeds.csv";
  const std::string head = support::text_of(file).substr(0, support::text_of(file).find('\n') + 1);
  std::ofstream(file, std::ios::binary)
      << head << "0,0,0.1,0.4,0.2,0.3,0.3,0.9,0.6,0.6,,5e-7,,,merged\n"
      << "0,1,0.2,0.8,0.2,0.3,0.3,0.9,0.6,0.6,,5e-7,,,merged\n"
      << "0,2,0.3,1.2,,,,,,,,,,,no_band\n";
  int bands = 0;
  sim::map::for_each_band(sim::map::read_kept_run(scratch.path()),
                          [&](const sim::map::KeptBand& band) {
                            ++bands;
                            EXPECT_TRUE(band.merged);
                            EXPECT_EQ(band.seed, 0);
                            EXPECT_EQ(band.dose_m3, 5e-7);
                          });
  EXPECT_EQ(bands, 1);
}

TEST(KeptRun, WhatIsNoResultOfRunIsRefusedByName) {
  const ScratchFolder scratch;
  EXPECT_THAT(mistake_of(scratch.path() / "none"), HasSubstr("none: is no folder"));
  EXPECT_THAT(mistake_of(scratch.path()), HasSubstr("holds no summary.json"));
  const auto folder = scratch.path() / "made";
  const auto again = [&] { support::write_made_result(folder, {}); };
  again();
  EXPECT_EQ(mistake_of(folder), "none");
  change(folder / "summary.json", "sillion.run.1", "sillion.sweep.1");
  EXPECT_THAT(mistake_of(folder), HasSubstr("`sillion.sweep.1` where `sillion.run.1`"));
  again();
  change(folder / "applied.csv", "field_m3pm2", "field_m3pm3");
  EXPECT_THAT(mistake_of(folder), HasSubstr("applied.csv:1: field_m3pm2: this column is missing; "
                                            "nearest name there: `field_m3pm3`"));
  again();
  change(folder / "seeds.csv", ",banded\n0,2", "\n0,2");
  EXPECT_THAT(mistake_of(folder), HasSubstr("seeds.csv:3: has 14 cells where the head has 15"));
  again();
  change(folder / "applied.csv", "\n0,1,2,", "\n0,1,x,");
  EXPECT_THAT(mistake_of(folder), HasSubstr("applied.csv:3: until_s: is no number"));
  again();
  std::filesystem::resize_file(folder / "seeds.csv",
                               std::filesystem::file_size(folder / "seeds.csv") - 3);
  EXPECT_THAT(mistake_of(folder), HasSubstr("the last line has no end"));
  again();
  std::filesystem::remove(folder / "applied.csv");
  EXPECT_THAT(mistake_of(folder), HasSubstr("holds no applied.csv"));
}

}  // namespace
