#include "sim/study/sweep/draws.h"

#include <gtest/gtest.h>

#include <cmath>
#include <vector>

#include "sim/study/sweep/study.h"
#include "tests/support/scratch_folder.h"

namespace {

using sim::scenario::AxisDraw;
using sim::scenario::DrawShape;

sim::sweep::Study study_of(const std::string& axes, const std::string& sampling = "random") {
  const ScratchFolder folder;
  folder.write("base.toml",
               "[attachment]\nname = \"short rake\"\n[rate]\nin_band = \"5 gal/ac\"\n");
  return sim::sweep::load_study(
      folder.write("study.toml", "base = \"base\"\nrng_key = 5\nsampling = \"" + sampling +
                                     "\"\nsamples = 6\n[axes]\n" + axes));
}

// Half of all draws lie below the middle, or below the geometric mean for a logarithmic shape.
TEST(Draw, TheMedianOfEachShape) {
  const AxisDraw uniform{.shape = DrawShape::kUniform, .first_si = 2.0, .second_si = 8.0};
  EXPECT_EQ(sim::sweep::drawn_si(uniform, 0.5), 5.0);
  EXPECT_EQ(sim::sweep::drawn_si(uniform, 0.25), 3.5);
  const AxisDraw log{.shape = DrawShape::kLogUniform, .first_si = 2.0, .second_si = 8.0};
  EXPECT_NEAR(sim::sweep::drawn_si(log, 0.5), 4.0, 1e-14);
  const AxisDraw normal{.shape = DrawShape::kNormal, .first_si = 5.0, .second_si = 2.0};
  EXPECT_NEAR(sim::sweep::drawn_si(normal, 0.5), 5.0, 1e-14);
  EXPECT_NEAR(sim::sweep::drawn_si(normal, 0.975), 5.0 + 2.0 * 1.959964, 1e-5);  // normal table
}

// Cut at the mean, the upper half is scaled up: its median is the whole's upper quartile, .67449
// sd.
TEST(Draw, ACutNormalIsScaledUpBetweenItsEnds) {
  const AxisDraw half{
      .shape = DrawShape::kNormal, .first_si = 5.0, .second_si = 2.0, .low_si = 5.0};
  EXPECT_NEAR(sim::sweep::drawn_si(half, 0.5), 5.0 + 2.0 * 0.67449, 1e-4);
  EXPECT_GE(sim::sweep::drawn_si(half, 1e-12), 5.0);
  const AxisDraw narrow{.shape = DrawShape::kNormal,
                        .first_si = 5.0,
                        .second_si = 2.0,
                        .low_si = 4.9,
                        .high_si = 5.1};
  for (const double share_ratio : {1e-15, 0.1, 0.9, 1.0 - 1e-15}) {
    EXPECT_GE(sim::sweep::drawn_si(narrow, share_ratio), 4.9);
    EXPECT_LE(sim::sweep::drawn_si(narrow, share_ratio), 5.1);
  }
}

// The spread of a temperature is a difference: 2 C are 2 K, and so are 3.6 F.
TEST(Draw, ASpreadOfTemperaturesIsADifference) {
  for (const char* sd : {"2 C", "3.6 F", "2 K"}) {
    const sim::sweep::Study study =
        study_of("\"liquid.temperature\" = {normal = {mean = \"15 C\", sd = \"" + std::string(sd) +
                 "\"}}\n");
    EXPECT_NEAR(study.axes[0].draw.second_si, 2.0, 1e-9) << sd;
    EXPECT_NEAR(study.axes[0].draw.first_si, 288.15, 1e-9);
  }
}

TEST(Draws, AreWrittenInTheUnitOfTheAxisAndLieWithin) {
  for (const char* sampling : {"random", "low-discrepancy"}) {
    const auto values = sim::sweep::drawn_values(
        study_of("\"travel.speed\" = {uniform = [\"10 km/h\", \"16 km/h\"]}\n", sampling), 0);
    ASSERT_EQ(values.size(), 6u);
    for (const auto& sample : values) {
      ASSERT_EQ(sample.size(), 1u);
      EXPECT_TRUE(sample[0].ends_with(" km/h")) << sample[0];
      EXPECT_GE(std::stod(sample[0]), 10.0);
      EXPECT_LE(std::stod(sample[0]), 16.0);
    }
    EXPECT_NE(values[0], values[1]);
  }
}

// Draws are counted: a further axis, a listed axis before it or a further batch shifts none of
// them.
TEST(Draws, AFurtherAxisShiftsNoOther) {
  const std::string speed = "\"travel.speed\" = {uniform = [\"10 km/h\", \"16 km/h\"]}\n";
  const std::string pressure = "\"supply.pressure\" = {uniform = [\"4 bar\", \"6 bar\"]}\n";
  const auto alone = sim::sweep::drawn_values(study_of(speed), 0);
  const auto both = sim::sweep::drawn_values(study_of(speed + pressure), 0);
  for (std::size_t i = 0; i < alone.size(); ++i) EXPECT_EQ(alone[i][0], both[i][0]);
  EXPECT_NE(sim::sweep::drawn_values(study_of(speed), 1)[0], alone[0]);
  sim::sweep::Study more = study_of(speed);
  more.samples = 12;
  const auto longer = sim::sweep::drawn_values(more, 0);
  for (std::size_t i = 0; i < 6; ++i) {
    EXPECT_EQ(longer[i], alone[i]);
    EXPECT_EQ(longer[6 + i], sim::sweep::drawn_values(study_of(speed), 1)[i]);
  }
}

TEST(Draws, TwoAxesDoNotFollowEachOther) {
  sim::sweep::Study study = study_of(
      "\"travel.speed\" = {uniform = [\"10 km/h\", \"16 km/h\"]}\n\"supply.pressure\" = {uniform = "
      "[\"4 bar\", \"6 bar\"]}\n");
  study.samples = 1000;
  double sum_ratio = 0.0;
  for (const auto& share_ratio : sim::sweep::drawn_shares_ratio(study, 0))
    sum_ratio += (share_ratio[0] - 0.5) * (share_ratio[1] - 0.5) * 12.0 / 1000.0;
  EXPECT_LT(std::fabs(sum_ratio), 4.0 / std::sqrt(1000.0));  // a correlation of independent pairs
}

}  // namespace
