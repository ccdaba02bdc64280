// What a plan comes to, and how it is said: sums by hand, words in their order, and the same rates
// out of the bench.
#include "sim/scenario/rate_plan.h"

#include <gtest/gtest.h>

#include <nlohmann/json.hpp>

#include "shared/units.h"
#include "sim/output/rate_sheet.h"
#include "sim/output/rate_words.h"
#include "sim/study/rate_passes.h"
#include "sim/study/rate_study.h"
#include "tests/support/run_program.h"

namespace sim {
namespace {

using namespace shared;

RateResult studied(const std::vector<std::string>& sets = {}) {
  return study_rate(load_rate_plan(SILLION_SOURCE_DIR "/scenarios/demo_plan.toml", sets));
}

TEST(RatePlan, InvestsTheStatedShareOfTheSaving) {
  const RateResult result = studied();
  const double f = result.treated_ratio;             // tidy: unit 1
  const double former = 5.0 * kGallonPerAcre_m3pm2;  // tidy: unit m3/m2
  EXPECT_NEAR(result.average_m3pm2, former * (f + 0.25 * (1.0 - f)), 1e-15);
  EXPECT_NEAR(result.in_band_m3pm2, result.average_m3pm2 / f, 1e-15);
  EXPECT_NEAR(result.saved_m3, (former - result.average_m3pm2) * 640'000.0, 1e-9);
  EXPECT_NEAR(result.saved_money, result.saved_m3 / kGallon_m3 * 3.5, 1e-6);
  EXPECT_EQ(result.trouble, RateTrouble::kNone);
}

// 64 ha at a known rate from 2000 l tanks; passes of 800 m by 8 rows of 0.762 m are 0.48768 ha.
TEST(RatePlan, RefillsFallWhereTheTankIsEmpty) {
  const RateResult result = studied({"plan.tank=500 l"});
  const double tank_m2 = 0.5 / result.average_m3pm2;
  ASSERT_EQ(result.refills.size(), static_cast<std::size_t>(640'000.0 / tank_m2));
  EXPECT_NEAR(result.refills[1].after_m2, 2.0 * tank_m2, 1e-6);
  const double passes = 2.0 * tank_m2 / 4876.8;  // tidy: unit 1
  EXPECT_EQ(result.refills[1].pass, static_cast<int>(passes) + 1);
  EXPECT_NEAR(result.refills[1].along_m, (passes - static_cast<int>(passes)) * 800.0, 1e-6);
  EXPECT_TRUE(studied({"plan.tank=20000 l"}).refills.empty());
}

// At 5 bar the row passes so much: twice the rate is out of reach, and half the speed serves it.
TEST(RatePlan, SaysWhatWouldMakeARateDeliverable) {
  const RateResult result = studied({"plan.invest=1", "product.grade=0-20-0"});
  const RateResult twice =
      studied({"plan.former=12 gal/ac", "plan.invest=1", "product.grade=0-20-0"});
  EXPECT_EQ(twice.trouble, RateTrouble::kNotDeliverable);
  EXPECT_LT(twice.delivery.margin_up_ratio, 0.0);
  EXPECT_NEAR(twice.delivery.fastest_mps * 12.0, result.delivery.fastest_mps * 5.0, 1e-6);
  const std::string sentence = rate_sentence(twice, Units::kMetric);
  EXPECT_TRUE(sentence.starts_with("Not deliverable: ")) << sentence;
  EXPECT_NE(sentence.find("slower than"), std::string::npos) << sentence;
}

TEST(RatePlan, OverAPublishedLimitThatComesFirstAndNoSavingIsHeadlined) {
  // by hand: 5 gal/ac over f = 0.495 (tests/published), 11.65 lb/gal, 10 % N: 11.77 lb/ac
  const RateResult over = studied({"plan.invest=1"});
  EXPECT_EQ(over.trouble, RateTrouble::kOverLimit);
  const std::string sentence = rate_sentence(over, Units::kUs);
  EXPECT_TRUE(
      sentence.starts_with("In the band 11.8 lb/ac N + K2O, limit 8.0 lb/ac for medium-fine "
                           "soil, continuous stream: over by 47 %"))
      << sentence;
  for (const RateLine& line : rate_lines(over, Units::kUs))
    EXPECT_EQ(line.name.find("Saved"), std::string::npos);
  EXPECT_NE(rate_sheet_html(over, Units::kUs)
                .find("continuous stream: over by <span class=\"q\">47 %</span>"),
            std::string::npos);
  // half a metre further from being in the furrow is no matter: sandy soil is stricter
  EXPECT_EQ(studied({"crop.soil=sandy"}).trouble, RateTrouble::kOverLimit);
}

TEST(RatePlan, SoybeanIsNeverWithinLimits) {
  const RateResult result = studied({"crop.name=soybean"});
  std::string all = rate_sentence(result, Units::kUs);
  for (const std::string& warning : rate_warnings(result, Units::kUs)) all += warning;
  for (const RateLine& line : seed_lines(result, Units::kUs)) all += line.name + line.text;
  EXPECT_EQ(all.find("within"), std::string::npos) << all;
  EXPECT_EQ(all.find("Limit of"), std::string::npos) << all;
  EXPECT_NE(all.find("no rate is published as safe"), std::string::npos) << all;
}

TEST(RatePlan, UreaWithTheSeedIsRefusedAtAnyRate) {
  const RateResult result = studied({"product.urea=true", "plan.former=1 gal/ac"});
  EXPECT_EQ(result.trouble, RateTrouble::kUrea);
  EXPECT_NE(rate_sentence(result, Units::kUs).find("allows none"), std::string::npos);
}

TEST(RatePlan, ALabelsRowRateIsTheUpperLimitInTheBand) {
  const std::vector<std::string> sets = {"product.kind=pesticide", "plan.invest=0",
                                         "product.label_rate=30 fl oz/1000 ft"};
  // 5 gal/ac at 30 in is 36.7 fl oz per 1000 ft
  const RateResult over = studied(sets);
  EXPECT_EQ(over.trouble, RateTrouble::kOverLabel);
  EXPECT_NE(rate_sentence(over, Units::kUs).find("over by 22 %"), std::string::npos)
      << rate_sentence(over, Units::kUs);
  std::vector<std::string> wider = sets;
  wider.back() = "product.label_rate=5.1 gal/ac";
  EXPECT_EQ(studied(wider).trouble, RateTrouble::kNone);
}

TEST(RatePlan, ALivingProductIsHeldAgainstTimeAndTemperature) {
  const RateResult result = studied({"product.kind=biological", "product.tank_life=2 h",
                                     "product.coldest=16 C", "plan.invest=0"});
  std::string all;
  for (const std::string& warning : rate_warnings(result, Units::kMetric)) all += warning + "\n";
  EXPECT_NE(all.find("jar test"), std::string::npos) << all;
  EXPECT_NE(all.find("the mix keeps for 2.0 h"), std::string::npos) << all;
  EXPECT_NE(all.find("is colder than the product may be"), std::string::npos) << all;
}

TEST(RatePlan, ABandLongerThanTheSpacingIsAStream) {
  const RateResult result = studied({"rate.band_length=200 mm", "plan.invest=0"});
  EXPECT_TRUE(result.continuous);
  EXPECT_DOUBLE_EQ(result.average_m3pm2, result.in_band_m3pm2);
  EXPECT_NE(rate_sentence(result, Units::kUs).find("bands touch at this spacing"),
            std::string::npos);
}

TEST(RatePlan, ZonesListWhatTheMachineCannotServeAndWherePressureMustRise) {
  const support::ScratchFolder scratch;
  const auto file = scratch.path() / "zones.toml";
  std::ofstream(file) << "base = \"" SILLION_SOURCE_DIR
                         "/scenarios/demo.toml\"\n"
                         "[[zone]]\nname = \"low\"\narea = \"20 ha\"\nin_band = \"3 gal/ac\"\n"
                         "[[zone]]\nname = \"high\"\narea = \"10 ha\"\nin_band = \"6 gal/ac\"\n"
                         "[[zone]]\nname = \"much\"\narea = \"5 ha\"\nin_band = \"15 gal/ac\"\n"
                         "[plan]\ntank = \"2000 l\"\n[product]\ndensity = \"1.39 kg/l\"\n"
                         "[crop]\nname = \"corn\"\n";
  const RateResult result = study_rate(load_rate_plan(file));
  ASSERT_EQ(result.zones.size(), 3u);
  EXPECT_GT(result.zones[1].rise_ahead_m, 0.0);
  EXPECT_FALSE(result.zones[2].delivery.served);
  EXPECT_NEAR(result.needed_m3,
              result.treated_ratio * kGallonPerAcre_m3pm2 *
                  (3.0 * 200'000.0 + 6.0 * 100'000.0 + 15.0 * 50'000.0),
              1e-9);
  EXPECT_NE(rate_csv(result).find("zone_2_fastest_mps,"), std::string::npos);
  const auto json = nlohmann::json::parse(rate_json(result));
  EXPECT_EQ(json["zones"][2]["served"], false);
}

// Beside the seeds as they fell an ideal row's pass lays what the plan says; 0.5 % is asked for.
TEST(RatePlan, AnIdealPassGivesTheSameFieldRate) {
  for (const char* spacing : {"90 mm", "150 mm", "250 mm"}) {
    const RateResult result =
        studied({std::string("seeding.spacing=") + spacing, "seeds=300", "row.count=2",
                 "plan.invest=0", "controller.row_trim=false"});
    const RatePasses passes = pass_rates(result, nullptr);
    EXPECT_NEAR(passes.ideal.difference_ratio(), 0.0, 0.005) << spacing;
    EXPECT_NEAR(passes.ideal.treated_ratio, result.treated_ratio, 0.02) << spacing;
    EXPECT_NE(passes.full.difference_ratio(), 0.0);
  }
}

TEST(RatePlan, TheCatchTestIsDoseTimesPulses) {
  const RateResult result = studied({"plan.invest=0"});
  const CatchTest test = catch_test_of(result);
  const double dose_m3 = 5.0 * kGallonPerAcre_m3pm2 * 0.762 * 0.075;
  EXPECT_NEAR(test.in_500_pulses_m3, 500.0 * dose_m3, 1e-12);
  EXPECT_NEAR(test.in_30s_m3, 30.0 * 16.0 / 3.6 / 0.15 * dose_m3, 1e-12);
}

TEST(RateCommand, AnswersWithSheetTablesAndItsCode) {
  const support::ScratchFolder scratch;
  const auto rate = [&](const std::vector<std::string>& more) {
    std::vector<std::string> words = {"rate", "scenarios/demo_plan.toml", "--out",
                                      scratch.path().string()};
    words.insert(words.end(), more.begin(), more.end());
    return support::sillion(words);
  };
  const support::Ended good = rate({"--units", "us", "--catch-test"});
  EXPECT_EQ(good.code, 0) << good.err;
  EXPECT_TRUE(good.out.starts_with("Enter 6.28 gal/ac in the band; the field takes 3.11 gal/ac\n"))
      << good.out;
  EXPECT_NE(good.out.find("in 500 pulses: "), std::string::npos);
  const std::string sheet = support::text_of(scratch.path() / "rate.html");
  for (const char* request : {"http:", "https:", "src=", "href=", "<script"})
    EXPECT_EQ(sheet.find(request), std::string::npos) << request;
  EXPECT_NE(sheet.find("Rates over band length"), std::string::npos);
  EXPECT_TRUE(support::text_of(scratch.path() / "rate.csv").starts_with("key,value,unit\n"));
  EXPECT_EQ(rate({"--set", "plan.invest=1"}).code, 1);
  const support::Ended json = rate({"--json"});
  EXPECT_EQ(nlohmann::json::parse(json.out)["trouble"], "none");
  EXPECT_EQ(json.out, support::text_of(scratch.path() / "rate.json"));
}

}  // namespace
}  // namespace sim
