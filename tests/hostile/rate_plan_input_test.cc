// Plans with mistakes: each is reported with file, line, key and the nearest valid name.
#include <gtest/gtest.h>

#include <string>
#include <vector>

#include "sim/scenario/loader.h"
#include "sim/study/rate/rate_plan.h"
#include "tests/support/scratch_folder.h"

namespace sim {
namespace {

const std::string kHead = "base = \"" SILLION_SOURCE_DIR "/scenarios/demo.toml\"\n";
const std::string kProduct = "[product]\ndensity = \"1.39 kg/l\"\n";
const std::string kField = "[field]\narea = \"64 ha\"\n";
const std::string kCrop = "[crop]\nname = \"corn\"\n";

std::string error_of(const std::string& text) {
  const ScratchFolder scratch;
  try {
    rate::load_rate_plan(scratch.write("plan.toml", text));
  } catch (const text::InputError& error) {
    return error.what();
  }
  return "";
}

void expect_in(const std::string& text, const std::vector<std::string>& words) {
  for (const std::string& word : words) EXPECT_NE(text.find(word), std::string::npos) << text;
}

TEST(BadPlan, AWholeOneLoads) { EXPECT_EQ(error_of(kHead + kProduct + kField + kCrop), ""); }

TEST(BadPlan, UnknownCropAndSoilNameAllThatAreKnownAndTheNearest) {
  // barley is near no known name, so only the list helps
  expect_in(
      error_of(kHead + kProduct + kField + "[crop]\nname = \"barley\"\n"),
      {"plan.toml:7: crop.name: \"barley\" is not known; known are corn, sorghum, small grain, "
       "soybean, oil seed, other; `sillion list crops`"});
  expect_in(error_of(kHead + kProduct + kField + kCrop + "soil = \"loam\"\n"),
            {"plan.toml:8: crop.soil: \"loam\" is not known; known are medium-fine, sandy"});
  expect_in(error_of(kHead + kProduct + kField + "[crop]\nname = \"korn\"\n"),
            {"plan.toml:7: crop.name: \"korn\"", "nearest valid name: `corn`"});
  expect_in(error_of(kHead + kProduct + kField + kCrop + "soil = \"sand\"\n"),
            {"plan.toml:8: crop.soil", "nearest valid name: `sandy`"});
}

TEST(BadPlan, WhatIsMissingIsNamed) {
  expect_in(error_of(kHead + kField + kCrop), {"product: is missing"});
  expect_in(error_of(kHead + "[product]\ngrade = \"10-34-0\"\n" + kField + kCrop),
            {"plan.toml:2: product.density: is missing"});
  expect_in(error_of(kHead + kProduct + kCrop), {"field.area: is missing"});
  expect_in(error_of(kHead + kProduct + kField), {"crop.name: is missing"});
  expect_in(error_of(kHead + kProduct + "kind = \"pesticide\"\n" + kField + kCrop),
            {"product.label_rate: is missing"});
}

TEST(BadPlan, ZeroAndNegativeAreasPricesAndPopulations) {
  for (const char* area : {"0 ha", "-3 ha"})
    expect_in(error_of(kHead + kProduct + "[field]\narea = \"" + area + "\"\n" + kCrop),
              {"plan.toml:5: field.area"});
  for (const char* price : {"0 USD/gal", "-2 USD/gal", "USD/gal", "3.5 USD", "3.5 USD/bushel"})
    expect_in(error_of(kHead + kProduct + "price = \"" + price + "\"\n" + kField + kCrop),
              {"plan.toml:4: product.price"});
  expect_in(
      error_of(kHead + kProduct + kField + kCrop + "[seeding]\npopulation = \"0 seeds/ac\"\n"),
      {"plan.toml:9: seeding.population"});
}

TEST(BadPlan, ConcentrateNeedsAFormerRateAndIsRefusedForAPesticide) {
  expect_in(error_of(kHead + kProduct + kField + kCrop + "[plan]\nconcentrate = 0.5\n"),
            {"plan.toml:9: plan.concentrate: needs plan.former"});
  expect_in(error_of(kHead + kProduct + "kind = \"pesticide\"\nlabel_rate = \"3 gal/ac\"\n" +
                     kField + kCrop + "[plan]\nformer = \"6 gal/ac\"\nconcentrate = 0.5\n"),
            {"plan.concentrate: must be 0 for a pesticide"});
}

// The key had another name once: the error for a plan that still uses it gives today's name.
TEST(BadPlan, TheFormerKeyIsRefusedWithTheNewName) {
  expect_in(
      error_of(kHead + kProduct + kField + kCrop + "[plan]\nformer = \"6 gal/ac\"\ninvest = 0.5\n"),
      {"plan.toml:10: plan.invest: is now called plan.concentrate"});
  const ScratchFolder scratch;
  const auto file = scratch.write("plan.toml", kHead + kProduct + kField + kCrop);
  try {
    rate::load_rate_plan(file, {"plan.invest=0.25"});
    FAIL();
  } catch (const text::InputError& error) {
    expect_in(error.what(), {"--set plan.invest: is now called plan.concentrate"});
  }
}

TEST(BadPlan, TwoRatesContradictEachOther) {
  expect_in(error_of(kHead + kProduct + kField + kCrop +
                     "[plan]\nfield_average = \"3 gal/ac\"\n[rate]\nin_band = \"5 gal/ac\"\n"),
            {"rate.in_band: contradicts plan.field_average"});
  expect_in(error_of(kHead + kProduct + kField + kCrop +
                     "[[zone]]\nname = \"a\"\narea = \"1 ha\"\nin_band = \"5 gal/ac\"\n"),
            {"field.area: contradicts [[zone]]"});
}

TEST(BadPlan, GradesAndUnknownKeys) {
  for (const char* grade : {"10-34", "10-34-x", "60-34-20", "10/34/0", ""})
    expect_in(error_of(kHead + kProduct + "grade = \"" + grade + "\"\n" + kField + kCrop),
              {"plan.toml:4: product.grade"});
  expect_in(error_of(kHead + kProduct + "densty = \"1 kg/l\"\n" + kField + kCrop),
            {"plan.toml:4: product.densty", "product.density"});
  expect_in(error_of(kHead + kProduct + kField + kCrop + "[travl]\nspeed = \"1 km/h\"\n"),
            {"travl", "travel"});
}

}  // namespace
}  // namespace sim
