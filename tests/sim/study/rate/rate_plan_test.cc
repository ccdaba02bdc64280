// What a plan comes to and how it is reported: sums by hand, words in their order, and the same
// rates from the bench.
#include "sim/study/rate/rate_plan.h"

#include <fmt/format.h>
#include <gtest/gtest.h>

#include <algorithm>

#include <nlohmann/json.hpp>

#include "shared/units.h"
#include "sim/study/rate/rate_passes.h"
#include "sim/study/rate/rate_sheet.h"
#include "sim/study/rate/rate_study.h"
#include "sim/study/rate/rate_words.h"
#include "sim/study/rate/treated_share.h"
#include "tests/support/report_text.h"
#include "tests/support/run_program.h"

namespace sim::rate {
namespace {

using namespace shared;

RateResult studied(const std::vector<std::string>& sets = {}) {
  return study_rate(load_rate_plan(SILLION_SOURCE_DIR "/scenarios/demo_plan.toml", sets));
}

TEST(RatePlan, ConcentratesByTheStatedShare) {
  const RateResult result = studied();
  const double f = result.treated_ratio;             // tidy: unit 1
  const double former = 6.0 * kGallonPerAcre_m3pm2;  // tidy: unit m3/m2
  EXPECT_NEAR(result.average_m3pm2, former * (f + 0.05 * (1.0 - f)), 1e-15);
  EXPECT_NEAR(result.in_band_m3pm2, result.average_m3pm2 / f, 1e-15);
  EXPECT_NEAR(result.kept_m3, (former - result.average_m3pm2) * 640'000.0, 1e-9);
  EXPECT_NEAR(result.kept_money, result.kept_m3 / kGallon_m3 * 3.5, 1e-6);
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

// 6 gal/ac are 56.1237 l/ha (1 gal/ac = 22225/2376 l/ha), so 64 ha take 3591.9 l as an unbroken
// stream: 2000 l last for 35.636 ha and there is one refill, 73 whole passes and 57.5 m on. Worked
// by hand: 356 356 m2 / 4876.8 m2 = 73.0717 passes.
TEST(RatePlan, RefillsOfTheUnbrokenStreamStandBesideThoseOfThePlan) {
  const RateResult result = studied();
  EXPECT_TRUE(result.refills.empty());
  ASSERT_EQ(result.stream_refills.size(), 1u);
  EXPECT_NEAR(result.stream_refills[0].after_m2, 356'356.0, 1.0);
  EXPECT_EQ(result.stream_refills[0].pass, 74);
  EXPECT_NEAR(result.stream_refills[0].along_m, 57.3, 0.3);
  bool shown_beside = false;
  for (const RateLine& line : rate_lines(result, output::Units::kMetric))
    if (line.name == "Refills of a stream of 56.1 l/ha")
      shown_beside = line.text.starts_with("1: after 35.6 ha (pass 74, 57 m along)");
  EXPECT_TRUE(shown_beside);
  const auto json = nlohmann::json::parse(rate_json(result));
  EXPECT_EQ(json["refills"].size(), 0u);
  EXPECT_EQ(json["stream_refills"][0]["pass"], 74);
  EXPECT_NE(rate_csv(result).find("stream_refills,1,1\n"), std::string::npos);
}

// Zones without a former rate are compared with a stream of each zone's own in-band rate: 10 ha at
// 10 and 10 ha at 20 gal/ac take 935.4 and 1870.8 l, so 1000 l are used up 0.345 ha into the second
// zone, and once more 5.345 ha later (1 gal/ac = 9.353956 l/ha).
TEST(RatePlan, ZonesAreHeldAgainstAStreamOfTheirOwnRates) {
  const support::ScratchFolder scratch;
  const auto file = scratch.path() / "zones.toml";
  std::ofstream(file) << "base = \"" SILLION_SOURCE_DIR
                         "/scenarios/demo.toml\"\n"
                         "[[zone]]\nname = \"a\"\narea = \"10 ha\"\nin_band = \"10 gal/ac\"\n"
                         "[[zone]]\nname = \"b\"\narea = \"10 ha\"\nin_band = \"20 gal/ac\"\n"
                         "[plan]\ntank = \"1000 l\"\n[product]\ndensity = \"1.39 kg/l\"\n"
                         "[crop]\nname = \"corn\"\n";
  const RateResult result = study_rate(load_rate_plan(file));
  ASSERT_EQ(result.stream_refills.size(), 2u);
  EXPECT_NEAR(result.stream_refills[0].after_m2, 103'453.0, 5.0);
  EXPECT_NEAR(result.stream_refills[1].after_m2, 156'906.0, 10.0);
  EXPECT_EQ(result.stream_refills[1].zone, "b");
  EXPECT_EQ(result.refills.size(), 1u);
  // of many refills a person reads the first two and the last
  const RateResult many = study_rate(load_rate_plan(file, {"plan.tank=200 l"}));
  std::string words;
  for (const RateLine& line : rate_lines(many, output::Units::kMetric))
    if (line.name.starts_with("Refills of a stream")) words = line.text;
  EXPECT_TRUE(words.starts_with("14: after ")) << words;
  EXPECT_NE(words.find(", and so on; the last after 20.0 ha in b"), std::string::npos) << words;
}

// The row's flow at 5 bar is limited: twice the rate is out of reach, and half the speed serves it.
TEST(RatePlan, SaysWhatWouldMakeARateDeliverable) {
  const RateResult result =
      studied({"plan.former=5 gal/ac", "plan.concentrate=1", "product.grade=0-20-0"});
  const RateResult twice =
      studied({"plan.former=12 gal/ac", "plan.concentrate=1", "product.grade=0-20-0"});
  EXPECT_EQ(twice.trouble, RateTrouble::kNotDeliverable);
  EXPECT_LT(twice.delivery.margin_up_ratio, 0.0);
  EXPECT_NEAR(twice.delivery.fastest_mps * 12.0, result.delivery.fastest_mps * 5.0, 1e-6);
  const std::string sentence = rate_sentence(twice, output::Units::kMetric);
  EXPECT_TRUE(sentence.starts_with("Not deliverable: ")) << sentence;
  EXPECT_NE(sentence.find("slower than"), std::string::npos) << sentence;
}

TEST(RatePlan, OverAPublishedLimitThatComesFirstAndNothingSpeaksForThePlan) {
  // by hand: 6 gal/ac over f = 0.3966, 11.65 lb/gal, 10 % N: 17.62 lb/ac, 2.20 times 8
  const RateResult over = studied({"plan.concentrate=1"});
  EXPECT_EQ(over.trouble, RateTrouble::kOverLimit);
  const std::string sentence = rate_sentence(over, output::Units::kUs);
  EXPECT_TRUE(
      sentence.starts_with("In the band 17.6 lb/ac N + K2O, limit 8.0 lb/ac for medium-fine "
                           "soil, continuous stream: over by 120 %"))
      << sentence;
  for (const RateLine& line : rate_lines(over, output::Units::kUs))
    EXPECT_EQ(line.name.find("Stays in the tank"), std::string::npos);
  EXPECT_NE(rate_sheet_html(over, output::Units::kUs)
                .find("continuous stream: over by <span class=\"q\">120 %</span>"),
            std::string::npos);
  // sandy soil has the stricter limit
  EXPECT_EQ(studied({"crop.soil=sandy"}).trouble, RateTrouble::kOverLimit);
}

TEST(RatePlan, SoybeanIsNeverWithinLimits) {
  const RateResult result = studied({"crop.name=soybean"});
  std::string all = rate_sentence(result, output::Units::kUs);
  for (const std::string& warning : rate_warnings(result, output::Units::kUs)) all += warning;
  for (const RateLine& line : seed_lines(result, output::Units::kUs)) all += line.name + line.text;
  EXPECT_EQ(all.find("within"), std::string::npos) << all;
  EXPECT_EQ(all.find("Limit of"), std::string::npos) << all;
  EXPECT_NE(all.find("no rate is published as safe"), std::string::npos) << all;
}

TEST(RatePlan, UreaWithTheSeedIsRefusedAtAnyRate) {
  const RateResult result = studied({"product.urea=true", "plan.former=1 gal/ac"});
  EXPECT_EQ(result.trouble, RateTrouble::kUrea);
  EXPECT_NE(rate_sentence(result, output::Units::kUs).find("allows none"), std::string::npos);
}

TEST(RatePlan, ALabelsRowRateIsTheUpperLimitInTheBand) {
  const std::vector<std::string> sets = {"product.kind=pesticide", "plan.concentrate=0",
                                         "product.label_rate=36 fl oz/1000 ft"};
  // 6 gal/ac at 30 in is 44.1 fl oz per 1000 ft (1 fl oz/1000 ft = 0.136 gal/ac)
  const RateResult over = studied(sets);
  EXPECT_EQ(over.trouble, RateTrouble::kOverLabel);
  EXPECT_NE(rate_sentence(over, output::Units::kUs).find("over by 22 %"), std::string::npos)
      << rate_sentence(over, output::Units::kUs);
  std::vector<std::string> wider = sets;
  wider.back() = "product.label_rate=6.1 gal/ac";
  EXPECT_EQ(studied(wider).trouble, RateTrouble::kNone);
}

TEST(RatePlan, ALivingProductIsHeldAgainstTimeAndTemperature) {
  const RateResult result = studied({"product.kind=biological", "product.tank_life=2 h",
                                     "product.coldest=16 C", "plan.concentrate=0"});
  std::string all;
  for (const std::string& warning : rate_warnings(result, output::Units::kMetric))
    all += warning + "\n";
  EXPECT_NE(all.find("jar test"), std::string::npos) << all;
  EXPECT_NE(all.find("the mix keeps for 2.0 h"), std::string::npos) << all;
  EXPECT_NE(all.find("is colder than the product may be"), std::string::npos) << all;
}

TEST(RatePlan, ABandLongerThanTheSpacingIsAStream) {
  const RateResult result = studied({"rate.band_length=200 mm", "plan.concentrate=0",
                                     "seeding.scatter=0", "seeding.skips=0", "seeding.doubles=0"});
  EXPECT_TRUE(result.continuous);
  EXPECT_DOUBLE_EQ(result.average_m3pm2, result.in_band_m3pm2);
  EXPECT_NE(rate_sentence(result, output::Units::kUs).find("bands touch at this spacing"),
            std::string::npos);
}

// Where spacings scatter and seeds are skipped, some ways between seeds are longer than a band that
// is longer than the mean way: the share is the formula's, and no stream.
TEST(RatePlan, ABandLongerThanTheMeanSpacingLeavesGapsWhereSpacingsScatter) {
  const RateResult result = studied({"rate.band_length=200 mm", "plan.concentrate=0"});
  EXPECT_FALSE(result.continuous);
  const sim::scenario::Scenario& scenario = result.plan.scenario;
  EXPECT_DOUBLE_EQ(result.treated_ratio,
                   sim::rate::expected_treated_ratio(scenario.seeding.meter, 0.2));
  EXPECT_LT(result.treated_ratio, 1.0);
  EXPECT_LT(result.average_m3pm2, result.in_band_m3pm2);
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

// An ideal row's pass lays what the plan says beside the seeds as they fell; 0.5 % is required.
TEST(RatePlan, AnIdealPassGivesTheSameFieldRate) {
  for (const char* spacing : {"90 mm", "150 mm", "250 mm"}) {
    const RateResult result =
        studied({std::string("seeding.spacing=") + spacing, "seeds=300", "row.count=2",
                 "plan.concentrate=0", "controller.row_trim=false"});
    const RatePasses passes = pass_rates(result, nullptr);
    EXPECT_NEAR(passes.ideal.difference_ratio(), 0.0, 0.005) << spacing;
    EXPECT_NEAR(passes.ideal.treated_ratio, result.treated_ratio, 0.02) << spacing;
    EXPECT_NE(passes.full.difference_ratio(), 0.0);
  }
}

TEST(RatePlan, TheCatchTestIsDoseTimesPulses) {
  const RateResult result = studied({"plan.concentrate=0"});
  const CatchTest test = catch_test_of(result);
  const double dose_m3 = 6.0 * kGallonPerAcre_m3pm2 * 0.762 * 0.060;
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
  // 60 of 150 mm are 0.4; seeds closer than a band and doubles lower that by less than 0.01
  const double f = studied().treated_ratio;           // tidy: unit 1
  const double field = 6.0 * (f + 0.05 * (1.0 - f));  // tidy: unit gal/ac
  EXPECT_NEAR(f, 0.395, 0.005);
  const std::string sentence = fmt::format(
      "Enter {:.2f} gal/ac in the band; the field takes {:.2f} gal/ac", field / f, field);
  EXPECT_TRUE(good.out.starts_with(sentence + "\n")) << good.out;
  // the manual quotes what the commands print, over broken lines
  std::string manual = support::text_of(SILLION_SOURCE_DIR "/scenarios/manual/rate.md");
  std::replace(manual.begin(), manual.end(), '\n', ' ');
  EXPECT_NE(manual.find(sentence), std::string::npos);
  const std::string over = rate_sentence(studied({"plan.concentrate=1"}), output::Units::kUs);
  EXPECT_NE(manual.find(over.substr(0, over.find(" ("))), std::string::npos) << over;
  EXPECT_NE(good.out.find("in 500 pulses: "), std::string::npos);
  const std::string sheet = support::without_script(support::text_of(scratch.path() / "rate.html"));
  for (const char* request : {"http:", "https:", "src=", "href=", "<script"})
    EXPECT_EQ(sheet.find(request), std::string::npos) << request;
  EXPECT_NE(sheet.find("Rates over band length"), std::string::npos);
  EXPECT_TRUE(support::text_of(scratch.path() / "rate.csv").starts_with("key,value,unit\n"));
  EXPECT_EQ(rate({"--set", "plan.concentrate=1"}).code, 1);
  const support::Ended json = rate({"--json"});
  EXPECT_EQ(nlohmann::json::parse(json.out)["trouble"], "none");
  EXPECT_EQ(json.out, support::text_of(scratch.path() / "rate.json"));
}

}  // namespace
}  // namespace sim::rate
