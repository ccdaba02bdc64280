// What a person can get wrong in the sampling and in the stopping rule of a study gives one
// InputError with file, line, key and the nearest valid name, before anything runs.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <atomic>
#include <string>

#include "sim/scenario/loader.h"
#include "sim/study/sweep/study.h"
#include "sim/study/sweep/sweep_cells.h"
#include "tests/support/scratch_folder.h"

namespace {

using testing::EndsWith;
using testing::HasSubstr;
using testing::StartsWith;

const std::string kBase = "[attachment]\nname = \"short rake\"\n[rate]\nin_band = \"5 gal/ac\"\n";
const std::string kRandom = "base = \"base\"\nsampling = \"random\"\nsamples = 4\n[axes]\n";
const std::string kGrid = "base = \"base\"\nreplicas = 4\n";
const std::string kListed = "[axes]\n\"travel.speed\" = [\"3 m/s\"]\n";

// The message for a study and its cells, with the scratch folder's path taken off its front.
std::string message(const std::string& text) {
  const ScratchFolder folder;
  folder.write("base.toml", kBase);
  const auto file = folder.write("study.toml", text);
  try {
    const std::atomic<bool> stop{false};
    sim::sweep::judge_cells(sim::sweep::load_study(file), stop, [](double) {});
  } catch (const sim::text::InputError& error) {
    std::string what = error.what();
    const std::string front = file.parent_path().string() + "/";
    if (what.starts_with(front)) what.erase(0, front.size());
    return what;
  }
  return "no error";
}

std::string axis_message(const std::string& draw) {
  return message(kRandom + "\"travel.speed\" = " + draw + "\n");
}

TEST(BadSampling, GoesWithDistributionsOnly) {
  EXPECT_EQ(axis_message("{uniform = [\"3 m/s\", \"4 m/s\"]}"), "no error");
  EXPECT_THAT(message("base = \"base\"\nsampling = \"random\"\nsamples = 4\n" + kListed),
              StartsWith("study.toml:2: sampling: no axis is drawn"));
  EXPECT_THAT(
      message("base = \"base\"\n[axes]\n\"travel.speed\" = {uniform = [\"3 m/s\", \"4 m/s\"]}\n"),
      StartsWith("study.toml:3: axes.travel.speed: a distribution needs sampling"));
  EXPECT_THAT(message("base = \"base\"\nsamples = 4\n" + kListed),
              StartsWith("study.toml:2: samples: needs sampling"));
  EXPECT_THAT(
      message("base = \"base\"\nsampling = \"random\"\n[axes]\n\"travel.speed\" = {uniform = "
              "[\"3 m/s\", \"4 m/s\"]}\n"),
      HasSubstr("samples: is missing"));
}

TEST(BadSampling, HasANameAndSamples) {
  EXPECT_THAT(message("base = \"base\"\nsampling = \"randon\"\nsamples = 4\n" + kListed),
              EndsWith("nearest valid name: `random`"));
  EXPECT_THAT(
      message("base = \"base\"\nsampling = \"random\"\nsamples = 0\n[axes]\n\"travel.speed\" "
              "= {uniform = [\"3 m/s\", \"4 m/s\"]}\n"),
      StartsWith("study.toml:3: samples: 0 is out of range"));
  EXPECT_THAT(message("base = \"base\"\nsampling = \"random\"\nsamples = 1.5\n[axes]\n\"travel."
                      "speed\" = {uniform = [\"3 m/s\", \"4 m/s\"]}\n"),
              StartsWith("study.toml:3: samples: "));
  EXPECT_THAT(message("base = \"base\"\nsampling = \"random\"\nsamples = 2\nshown = [\"3 "
                      "m/s\"]\n[axes]\n\"travel.speed\" = {uniform = [\"3 m/s\", \"4 m/s\"]}\n"),
              HasSubstr("shown: names a cell of a grid"));
}

TEST(BadDistribution, Uniform) {
  EXPECT_THAT(axis_message("{uniform = []}"),
              StartsWith("study.toml:5: axes.travel.speed.uniform: must be two values"));
  EXPECT_THAT(axis_message("{uniform = [\"4 m/s\", \"3 m/s\"]}"),
              HasSubstr("is empty: 4 m/s is not below 3 m/s"));
  EXPECT_THAT(axis_message("{uniform = [\"4 m/s\", \"4 m/s\"]}"), HasSubstr("is empty"));
  EXPECT_THAT(axis_message("{uniform = [\"3 m/s\", \"4 m\"]}"), HasSubstr("is a length"));
  EXPECT_THAT(axis_message("{uniform = [\"3 m/s\", \"4000 m/s\"]}"),
              StartsWith("study.toml:5: travel.speed: "));
  EXPECT_THAT(axis_message("{log_uniform = [\"0 m/s\", \"4 m/s\"]}"), HasSubstr("above 0"));
  EXPECT_THAT(axis_message("{uniform = [\"3 m/s\", \"4 m/s\"], count = 5}"),
              StartsWith("study.toml:5: axes.travel.speed.count: unknown key"));
  EXPECT_THAT(
      axis_message("{uniform = [\"3 m/s\", \"4 m/s\"], normal = {mean = \"3 m/s\", sd = \"1 "
                   "m/s\"}}"),
      HasSubstr("state one of uniform, log_uniform and normal"));
}

TEST(BadDistribution, Normal) {
  EXPECT_THAT(axis_message("{normal = {mean = \"3 m/s\"}}"),
              StartsWith("study.toml:5: axes.travel.speed.normal.sd: is missing"));
  EXPECT_THAT(axis_message("{normal = {mean = \"3 m/s\", sd = \"-1 m/s\"}}"),
              StartsWith("study.toml:5: axes.travel.speed.normal.sd: a standard deviation must be "
                         "above 0, not -1 m/s"));
  EXPECT_THAT(axis_message("{normal = {mean = \"3 m/s\", sd = \"0 m/s\"}}"), HasSubstr("above 0"));
  EXPECT_THAT(axis_message("{normal = {mean = \"3 m/s\", sd = \"1 m\"}}"),
              HasSubstr("is a length"));
  EXPECT_THAT(axis_message("{normal = {mean = \"3 m/s\", sdev = \"1 m/s\"}}"),
              HasSubstr("sdev: unknown key"));
  EXPECT_THAT(axis_message("{normal = {mean = \"3 m/s\", sd = \"1 m/s\", low = \"4 m/s\", high = "
                           "\"4 m/s\"}}"),
              HasSubstr("has no values between low and high"));
  EXPECT_THAT(axis_message("{normal = {mean = \"3 m/s\", sd = \"0.1 m/s\", low = \"9 m/s\"}}"),
              HasSubstr("has no values between low and high"));
}

TEST(BadDistribution, OfAKeyThatIsNoQuantityOrNoKey) {
  EXPECT_THAT(message(kRandom + "\"attachment.name\" = {uniform = [1, 2]}\n"),
              HasSubstr("needs a key that holds a quantity"));
  EXPECT_THAT(message(kRandom + "\"travel.sped\" = {uniform = [\"3 m/s\", \"4 m/s\"]}\n"),
              testing::AllOf(HasSubstr("axes.travel.sped: unknown key"),
                             EndsWith("nearest valid name: `travel.speed`")));
  EXPECT_THAT(message(kRandom + "\"travel.speed\" = {unifrom = [\"3 m/s\", \"4 m/s\"]}\n"),
              EndsWith("nearest valid name: `axes.travel.speed.uniform`"));
}

// This normal distribution has no bounds, so some of its draws are speeds that no planter has.
TEST(BadDistribution, ADrawThatItsKeyRefusesNamesTheAxis) {
  EXPECT_THAT(axis_message("{normal = {mean = \"3 m/s\", sd = \"200 m/s\"}}"),
              testing::AllOf(StartsWith("study.toml:5: axes.travel.speed: sample "),
                             EndsWith("cut the distribution off with low and high")));
}

TEST(BadStop, MetricAndHalfWidth) {
  const auto stop = [](const std::string& what) { return message(kGrid + what + "\n" + kListed); };
  EXPECT_EQ(stop("stop = {metric = \"gap_ratio\", half_width = \"1 %\", most = 8}"), "no error");
  EXPECT_THAT(stop("stop = {metric = \"gap_rati\", half_width = \"1 %\"}"),
              testing::AllOf(StartsWith("study.toml:3: stop.metric: no metric \"gap_rati\""),
                             EndsWith("nearest valid name: `gap_ratio`")));
  EXPECT_THAT(stop("stop = {half_width = \"1 %\"}"),
              StartsWith("study.toml:3: stop.metric: is missing"));
  EXPECT_THAT(stop("stop = {metric = \"gap_ratio\"}"),
              StartsWith("study.toml:3: stop.half_width: is missing"));
  EXPECT_THAT(stop("stop = {metric = \"gap_ratio\", half_width = \"0 %\"}"),
              HasSubstr("stop.half_width: \"0 %\" is out of range"));
  EXPECT_THAT(stop("stop = {metric = \"placement_error_mean\", half_width = \"1 %\"}"),
              StartsWith("study.toml:3: stop.half_width: "));
  EXPECT_THAT(stop("stop = {metric = \"gap_ratio\", half_width = \"1 %\", mots = 8}"),
              EndsWith("nearest valid name: `stop.most`"));
  EXPECT_THAT(stop("stop = \"soon\""), StartsWith("study.toml:3: stop: must be a table"));
}

TEST(BadStop, ACapOfWholeBatches) {
  const auto most = [](const std::string& number) {
    return message(kGrid + "stop = {metric = \"gap_ratio\", half_width = \"1 %\", most = " +
                   number + "}\n" + kListed);
  };
  EXPECT_THAT(most("3"), StartsWith("study.toml:3: stop.most: 3 is less than one batch: it runs in "
                                    "batches of 4 passes"));
  EXPECT_THAT(most("6"), HasSubstr("6 is not a whole number of batches of 4 passes"));
  EXPECT_THAT(most("0"), HasSubstr("stop.most: 0 is out of range"));
  EXPECT_THAT(
      message("base = \"base\"\nstop = {metric = \"gap_ratio\", half_width = \"1 %\", most = "
              "1}\n" +
              kListed),
      HasSubstr("an interval needs two passes at least"));
  EXPECT_THAT(
      message("base = \"base\"\nsampling = \"low-discrepancy\"\nsamples = 4\nstop = {metric = "
              "\"gap_ratio\", half_width = \"1 %\", most = 4}\n[axes]\n\"travel.speed\" = "
              "{uniform = [\"3 m/s\", \"4 m/s\"]}\n"),
      HasSubstr("nets of them at least"));
}

}  // namespace
