#include "sim/study/run/tables.h"

#include <gtest/gtest.h>
#include <unistd.h>

#include <filesystem>
#include <limits>
#include <nlohmann/json.hpp>
#include <sstream>

#include "sim/output/hash.h"
#include "sim/output/json_text.h"
#include "sim/output/number_text.h"
#include "sim/output/write_folder.h"
#include "sim/statistics/intervals.h"
#include "sim/study/run/seal.h"
#include "sim/study/sweep/axis_value.h"
#include "sim/study/sweep/sweep_page.h"
#include "tests/support/example_result.h"

namespace {

namespace fs = std::filesystem;
using Json = nlohmann::ordered_json;

std::vector<std::string> keys_of(const Json& object) {
  std::vector<std::string> keys;
  for (auto item = object.begin(); item != object.end(); ++item) keys.push_back(item.key());
  return keys;
}

std::vector<std::vector<std::string>> lines_of(const std::string& csv) {
  std::vector<std::vector<std::string>> lines;
  std::istringstream in(csv);
  for (std::string line; std::getline(in, line);) {
    std::vector<std::string> cells(1);
    for (const char c : line) {
      if (c == ',')
        cells.emplace_back();
      else
        cells.back().push_back(c);
    }
    lines.push_back(cells);
  }
  return lines;
}

// Expected digests: FIPS 180-4 examples as published by NIST (one block, two blocks) and the empty
// message of the NIST test vectors (SHA256ShortMsg, Len = 0).
TEST(Sha256, GivesThePublishedDigests) {
  EXPECT_EQ(sim::output::sha256_hex("abc"),
            "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
  EXPECT_EQ(sim::output::sha256_hex("abcdbcdecdefdefgefghfghighijhijkijkljklmklmnlmnomnopnopq"),
            "248d6a61d20638b8e5c026930c3e6039a33ce45964ff2167f6ecedd419db06c1");
  EXPECT_EQ(sim::output::sha256_hex(""),
            "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855");
  EXPECT_EQ(sim::output::sha256_hex(std::string(1000000, 'a')),
            "cdc76e5c9914fb9281a1c7e284d73e67f1809a48a497200e046d39ccc7112cd0");
  EXPECT_EQ(sim::output::short_hash_hex("abc"), "ba7816bf8f01cfea");
}

TEST(NumberText, IsShortestAndReadsBack) {
  EXPECT_EQ(sim::output::number_text(0.1), "0.1");
  EXPECT_EQ(sim::output::number_text(-0.0), "0");
  EXPECT_EQ(sim::output::number_text(1.0 / 3.0), "0.3333333333333333");
  EXPECT_EQ(std::stod(sim::output::number_text(4.4444444444444446)), 4.4444444444444446);
  EXPECT_EQ(sim::output::number_text(std::numeric_limits<double>::quiet_NaN()), "");
  EXPECT_EQ(sim::output::fixed_text(-0.0004, 2), "0.00");
  EXPECT_EQ(sim::output::fixed_text(95.649, 1), "95.6");
  EXPECT_EQ(sim::output::fixed_text(-1.25, 1), "-1.2");  // exact tie: to even
}

TEST(JsonText, WritesNotANumberAsNullAndEscapesNames) {
  Json object = Json::object();
  object["none"] = sim::output::number_or_null(std::numeric_limits<double>::quiet_NaN());
  object["endless"] = sim::output::number_or_null(std::numeric_limits<double>::infinity());
  object["quote\"\n"] = "back\\slash \x01 and broken \xff byte";
  const Json back = Json::parse(sim::output::json_text(object));
  EXPECT_TRUE(back["none"].is_null());
  EXPECT_TRUE(back["endless"].is_null());
  EXPECT_EQ(back["quote\"\n"].get<std::string>().substr(0, 16), "back\\slash \x01 and");
}

// The keys of scenarios/manual/results.md, in its order; later additions follow `hashes`.
TEST(SummaryJson, HasTheKeysOfTheContractInOrder) {
  const Json json = Json::parse(sim::run::summary_json(tests::example_run()));
  const std::vector<std::string> contract = {"schema",
                                             "verdict",
                                             "requirements",
                                             "seeds",
                                             "stray_bands",
                                             "lag_seeds",
                                             "within",
                                             "placement_error_m",
                                             "band_length_m",
                                             "on_target_ratio",
                                             "dose_m3",
                                             "gap_ratio",
                                             "secondary_ratio",
                                             "weak",
                                             "in_band_rate_m3pm2",
                                             "field_rate_m3pm2",
                                             "applied_volume_m3",
                                             "rows",
                                             "spacing",
                                             "jet",
                                             "health",
                                             "simulated_s",
                                             "hashes"};
  const std::vector<std::string> keys = keys_of(json);
  ASSERT_GE(keys.size(), contract.size());
  EXPECT_EQ(
      std::vector<std::string>(keys.begin(), keys.begin() + static_cast<long>(contract.size())),
      contract);
  EXPECT_EQ(keys_of(json["hashes"]), (std::vector<std::string>{"scenario", "parameters",
                                                               "controller", "program", "result"}));
  for (const char* name : {"placement_error_m", "band_length_m"})
    EXPECT_EQ(keys_of(json[name]),
              (std::vector<std::string>{"mean", "sd", "p05", "p50", "p95", "abs_p95", "max_abs"}));
  const std::vector<std::string> counts = keys_of(json["seeds"]);
  EXPECT_EQ(
      std::vector<std::string>(counts.begin(), counts.begin() + 6),
      (std::vector<std::string>{"placed", "sensed", "banded", "merged", "edge_missed", "no_band"}));
}

TEST(SummaryJson, ValuesHaveTheirTypes) {
  const sim::run::RunResult run = tests::example_run();
  const Json json = Json::parse(sim::run::summary_json(run));
  EXPECT_EQ(json["verdict"], sim::measure::verdict_word(run.summary.verdict));
  EXPECT_TRUE(json["requirements"][0]["holds"].is_boolean());
  EXPECT_TRUE(json["requirements"][0]["limit"].is_number());
  EXPECT_EQ(json["within"].size(), 3u);
  EXPECT_EQ(json["within"][0]["tolerance_m"], 0.01);
  EXPECT_EQ(json["within"][0]["sensed_ratio"], run.summary.all.within[0].sensed_ratio);
  EXPECT_EQ(json["rows"].size(), run.summary.rows.size());
  EXPECT_TRUE(json["rows"][0]["placement_error_m"]["mean"].is_number());
  EXPECT_TRUE(json["seeds"]["placed"].is_number_integer());
  EXPECT_TRUE(json["jet"]["may_move_seed"].is_boolean());
  EXPECT_EQ(json["spacing"]["classes"].size(), 5u);
  EXPECT_TRUE(json["health"]["edges_accepted"].is_number_unsigned());
  EXPECT_TRUE(json["noise"]["outlet_mount_m"].is_number());
  EXPECT_EQ(json["tuned"]["grid"]["tube_cells"], run.tuned.fit.tube.in_cells());
}

TEST(SummaryJson, AFigureThatDoesNotExistIsNull) {
  sim::run::RunResult run = tests::example_run();
  run.summary.all.placement_error = {};
  run.summary.break_even_scatter_m = sim::statistics::kNone_ratio;
  run.summary.requirements[0].value = sim::statistics::kNone_ratio;
  const Json json = Json::parse(sim::run::summary_json(run));
  EXPECT_TRUE(json["placement_error_m"]["mean"].is_null());
  EXPECT_TRUE(json["break_even_scatter_m"].is_null());
  EXPECT_TRUE(json["requirements"][0]["value"].is_null());
  EXPECT_EQ(sim::run::summary_json(run).find("nan"), std::string::npos);
}

TEST(SeedsCsv, HasTheHeaderOfTheContractAndALineASeed) {
  const auto lines = lines_of(sim::run::seeds_csv(tests::example_run(2, 30)));
  const std::vector<std::string> header = {"row",
                                           "seed",
                                           "edge_s",
                                           "rest_x_ground_m",
                                           "open_s",
                                           "close_s",
                                           "band_start_x_ground_m",
                                           "band_end_x_ground_m",
                                           "band_centre_x_ground_m",
                                           "band_length_m",
                                           "placement_error_m",
                                           "dose_m3",
                                           "on_target_ratio",
                                           "secondary_ratio",
                                           "status"};
  EXPECT_EQ(lines[0], header);
  ASSERT_EQ(lines.size(), 61u);
  for (const auto& line : lines) EXPECT_EQ(line.size(), header.size());
  EXPECT_EQ(lines[31][0], "1");
  EXPECT_EQ(lines[31][1], "0");
}

TEST(SeedsCsv, ASeedWithoutABandHasEmptyCellsAndASharedOneShowsItsStretch) {
  sim::run::RunResult run = tests::example_run(1, 6);
  auto& seeds = run.record.rows[0].seeds;
  const auto& bands = run.record.rows[0].bands;
  for (auto& seed : seeds)
    seed.band = 0, seed.status = sim::measure::SeedStatus::kBanded, seed.placement_error_m = 0.001;
  seeds[1].band = -1, seeds[1].status = sim::measure::SeedStatus::kNoBand,
  seeds[1].placement_error_m = sim::statistics::kNone_ratio;
  seeds[1].on_target_ratio = sim::statistics::kNone_ratio;
  seeds[2].status = sim::measure::SeedStatus::kShared,
  seeds[2].placement_error_m = sim::statistics::kNone_ratio;
  const auto lines = lines_of(sim::run::seeds_csv(run));
  for (std::size_t column = 4; column <= 13; ++column)
    EXPECT_EQ(lines[2][column], "") << "column " << column;
  EXPECT_EQ(lines[2].back(), "no_band");
  EXPECT_EQ(lines[3].back(), "shared");
  EXPECT_EQ(lines[3][4], sim::output::number_text(bands[0].open_s));
  EXPECT_EQ(lines[3][10], "");
}

TEST(SeedsCsv, KnowsEveryStatusWord) {
  using enum sim::measure::SeedStatus;
  EXPECT_STREQ(sim::run::status_word(kBanded), "banded");
  EXPECT_STREQ(sim::run::status_word(kMerged), "merged");
  EXPECT_STREQ(sim::run::status_word(kShared), "shared");
  EXPECT_STREQ(sim::run::status_word(kEdgeMissed), "edge_missed");
  EXPECT_STREQ(sim::run::status_word(kNoBand), "no_band");
  EXPECT_STREQ(sim::run::status_word(kWeak), "weak");
}

TEST(CellsCsv, PutsAxesFirstInSiAndMarksCellsThatCannotBeServed) {
  const sim::sweep::SweepResult sweep = tests::example_sweep();
  const auto lines = lines_of(sim::sweep::cells_csv(sweep));
  ASSERT_EQ(lines.size(), 1 + sweep.cells.size());
  EXPECT_EQ(lines[0][0], "travel.speed_mps");
  EXPECT_EQ(lines[0][1], "seeding.spacing_m");
  EXPECT_EQ(lines[0][2], "status");
  EXPECT_EQ(lines[0][3], "smallest_offset_m");
  EXPECT_DOUBLE_EQ(std::stod(lines[1][0]), 6.0 / 3.6);
  EXPECT_EQ(lines[1][1], "0.1");
  for (std::size_t i = 0; i < lines.size(); ++i)
    EXPECT_EQ(lines[i].size(), lines[0].size()) << "line " << i;
  const std::size_t missing = 1 + 5 * 4;
  EXPECT_EQ(lines[missing][2], "not servable");
  EXPECT_EQ(lines[missing][3], "0.071");
  EXPECT_EQ(lines[missing][4], "");
  EXPECT_EQ(lines[missing].back(), "");
}

TEST(CellsCsv, GivesAnIntervalBesideTheFigure) {
  const sim::sweep::SweepResult sweep = tests::example_sweep();
  const auto lines = lines_of(sim::sweep::cells_csv(sweep));
  const auto column = [&](const std::string& name) {
    const auto found = std::find(lines[0].begin(), lines[0].end(), name);
    EXPECT_NE(found, lines[0].end()) << name;
    return static_cast<std::size_t>(found - lines[0].begin());
  };
  const double low = std::stod(lines[1][column("placement_error_mean_low95_m")]);
  const double high = std::stod(lines[1][column("placement_error_mean_high95_m")]);
  const double mean = std::stod(lines[1][column("placement_error_mean_m")]);
  EXPECT_LT(low, mean);
  EXPECT_GT(high, mean);
}

// Worked by hand: 1, 2, 3 have mean 2, sd 1; t(0.975, 2) = 4.303, so the half width is 4.303 /
// sqrt(3) = 2.4843.
TEST(Interval, FollowsStudent) {
  const std::vector<double> values = {1.0, 2.0, sim::statistics::kNone_ratio, 3.0};
  EXPECT_NEAR(sim::statistics::interval95(values).low_si, 2.0 - 2.4843, 1e-4);
  EXPECT_NEAR(sim::statistics::interval95(values).high_si, 2.0 + 2.4843, 1e-4);
  EXPECT_TRUE(std::isnan(sim::statistics::interval95(std::vector<double>{1.0}).low_si));
}

TEST(AxisValue, KeepsWordsAndConvertsQuantities) {
  EXPECT_EQ(sim::sweep::axis_value("conveyor"), "conveyor");
  EXPECT_NEAR(std::stod(sim::sweep::axis_value("6 in")), 0.1524,
              1e-15);  // 6 x 0.0254, exact by definition
  EXPECT_EQ(sim::sweep::axis_value("0.12"), "0.12");
  EXPECT_NEAR(sim::sweep::axis_value_si("68 F"), 293.15, 1e-9);
  EXPECT_EQ(sim::sweep::axis_column({"liquid.name", {"water"}}), "liquid.name");
}

TEST(SweepJson, CountsItsCellsAndLeavesOutFiguresWhereNothingRan) {
  const Json json = Json::parse(sim::sweep::sweep_summary_json(tests::example_sweep()));
  EXPECT_EQ(json["counts"]["cells"], 24);
  EXPECT_EQ(json["counts"]["not_servable"], 1);
  EXPECT_EQ(json["cells"][20]["status"], "not servable");
  EXPECT_FALSE(json["cells"][20].contains("within"));
  EXPECT_TRUE(json["cells"][0]["within"][0]["sensed_ratio"].is_number());
  EXPECT_EQ(json["cells"][0]["values"]["travel.speed"], "6 km/h");
}

TEST(Seal, HashesDifferByWhatTheyAreTakenOf) {
  sim::run::RunResult run = tests::example_run(1, 20);
  sim::run::seal(run);
  const sim::output::RunHashes before = run.hashes;
  EXPECT_EQ(before.result, sim::output::short_hash_hex(sim::run::unhashed_summary_json(run) +
                                                       sim::run::seeds_csv(run)));
  for (const std::string& hash :
       {before.scenario, before.parameters, before.controller, before.program, before.result}) {
    EXPECT_EQ(hash.size(), 16u);
    EXPECT_EQ(hash.find_first_not_of("0123456789abcdef"), std::string::npos);
  }
  run.record.rows[0].seeds[3].rest_x_ground_m += 1e-12;
  sim::run::seal(run);
  EXPECT_NE(run.hashes.result, before.result);
  EXPECT_EQ(run.hashes.parameters, before.parameters);
  run.tuned.table.lead_us[0] += 1;
  sim::run::seal(run);
  EXPECT_NE(run.hashes.parameters, before.parameters);
  EXPECT_EQ(run.hashes.program, before.program);
}

TEST(Seal, AForeignControllerIsHashedByItsBytes) {
  const fs::path library =
      fs::temp_directory_path() / ("sillion_library_" + std::to_string(::getpid()));
  sim::output::write_file(library, "abc");
  sim::run::RunResult run = tests::example_run(1, 20);
  run.scenario.controller.library = library.string();
  sim::run::seal(run);
  EXPECT_EQ(run.hashes.controller, "ba7816bf8f01cfea");
  fs::remove(library);
  EXPECT_THROW(sim::run::seal(run), sim::output::OutputError);
}

TEST(Results, CarryNoPath) {
  sim::run::RunResult run = tests::example_run(1, 20);
  run.scenario.controller.library = "/somewhere/on/this/machine.so";
  run.scenario.travel.log = "/somewhere/else.nmea";
  for (const std::string& text : {sim::run::summary_json(run), sim::run::seeds_csv(run)})
    EXPECT_EQ(text.find("/somewhere"), std::string::npos);
}

}  // namespace
