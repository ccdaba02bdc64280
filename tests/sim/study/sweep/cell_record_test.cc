// A finished cell as a text reads back to the bit as it was written, and a damaged text or one of
// other inputs gives nothing.
#include "sim/study/sweep/cell_record.h"

#include <gtest/gtest.h>

#include <cmath>
#include <cstddef>
#include <nlohmann/json.hpp>

#include "sim/output/hash.h"
#include "sim/output/hash_of_parts.h"
#include "sim/output/json_list.h"
#include "sim/output/json_text.h"
#include "sim/study/run/seal.h"
#include "sim/study/run/tables.h"
#include "sim/study/sweep/study.h"
#include "sim/study/sweep/sweep_page.h"
#include "tests/sim/demo_scenario.h"
#include "tests/support/run_program.h"
#include "tests/support/small_study.h"

namespace sim::sweep {
namespace {

Study small_study() {
  static const support::ScratchFolder scratch;
  return load_study(support::write_small_study(scratch.path()));
}

struct Kept {
  std::vector<std::pair<std::string, std::string>> texts;  // with their inputs
};

SweepResult swept(const Study& study, Kept& kept, bool find) {
  std::mutex one;
  SweepResult result =
      run_sweep(study, {.find = [&](const CellPlan& plan) -> std::optional<FinishedCell> {
                          const std::string inputs = cell_inputs(study, plan);
                          const std::lock_guard lock(one);
                          for (const auto& [name, text] : kept.texts)
                            if (find && name == inputs) return cell_from(text, inputs);
                          return {};
                        },
                        .keep =
                            [&](const CellPlan& plan, const FinishedCell& done) {
                              const std::string inputs = cell_inputs(study, plan);
                              const std::lock_guard lock(one);
                              kept.texts.emplace_back(inputs, cell_json(inputs, plan, done));
                            }});
  seal(result);
  return result;
}

std::string all_text(const SweepResult& result) {
  return sweep_summary_json(result) + cells_csv(result) +
         sweep_report_html(result, output::Units::kMetric);
}

TEST(CellRecord, ASweepFromItsTextsIsTheSameToTheByteAndRunsNothing) {
  Kept kept;
  const std::string first = all_text(swept(small_study(), kept, false));
  ASSERT_EQ(kept.texts.size(), 6u);
  const std::string again = all_text(swept(small_study(), kept, true));
  EXPECT_EQ(kept.texts.size(), 6u);
  EXPECT_EQ(again, first);
}

// With rows that have valve and column, trims and a stop by the interval; and with samples.
TEST(CellRecord, FullRowsStopsAndSamplesComeBackAsTheyWere) {
  Study grid{.name = "grid",
             .title = "grid",
             .base = std::string(SILLION_SOURCE_DIR) + "/scenarios/demo.toml",
             .sets = {"seeds=20", "row.count=1", "controller.row_trim=false"},
             .axes = {{"attachment.outlet_offset", {"60 mm", "-100 mm"}}},
             .replicas = 2,
             .rng_key = 9};
  grid.stop.most = 4;
  const support::ScratchFolder scratch;
  const Study samples =
      load_study(support::write_small_study(scratch.path(), "{uniform = [\"3 s\", \"6 s\"]}"),
                 {"sampling=\"random\"", "samples=3", "replicas=1",
                  "stop={metric=\"within_10mm_sensed\", half_width=\"1 %\", most=9}"});
  for (const Study& study : {grid, samples}) {
    Kept kept;
    const std::string first = all_text(swept(study, kept, false));
    const std::size_t files = kept.texts.size();
    ASSERT_GT(files, 0u);
    EXPECT_EQ(all_text(swept(study, kept, true)), first) << study.name;
    EXPECT_EQ(kept.texts.size(), files) << study.name;
  }
}

TEST(CellRecord, NotANumberAndInfinityComeBack) {
  FinishedCell done;
  done.cell.summary.all.gap_ratio = INFINITY;
  done.cell.summary.all.dose_sd_m3 = -0.0;
  done.cell.summary.rows.resize(3);
  done.cell.intervals = {{-INFINITY, 0.1}};
  done.cell.fault = CellFault::kBench;
  done.cell.fault_words = "pass 1: \"row 2\"\nleft physics";
  done.seen = {{.value_si = 0.1, .trials = 7}, {}};
  const std::optional<FinishedCell> back = cell_from(cell_json("0", {}, done), "0");
  ASSERT_TRUE(back);
  EXPECT_TRUE(std::isinf(back->cell.summary.all.gap_ratio));
  EXPECT_TRUE(std::signbit(back->cell.summary.all.dose_sd_m3));
  EXPECT_TRUE(std::isnan(back->cell.summary.all.on_target_mean_ratio));
  EXPECT_EQ(back->cell.summary.rows.size(), 3u);
  ASSERT_EQ(back->cell.intervals.size(), 1u);
  EXPECT_TRUE(std::isinf(back->cell.intervals[0].low_si));
  EXPECT_EQ(back->cell.fault, CellFault::kBench);
  EXPECT_EQ(back->cell.fault_words, done.cell.fault_words);
  ASSERT_EQ(back->seen.size(), 2u);
  EXPECT_EQ(back->seen[0].value_si, 0.1);
  EXPECT_EQ(back->seen[0].trials, 7);
  EXPECT_TRUE(std::isnan(back->seen[1].value_si));
}

#if __has_builtin(__builtin_clear_padding)
// Behind the flag of one byte lie seven that belong to no figure.
TEST(CellRecord, WhatLiesBetweenTheFiguresDoesNotCount) {
  std::string texts[2];
  for (const int fill : {0, 1}) {
    FinishedCell done;
    measure::JetFigures& jet = done.cell.summary.jet;
    reinterpret_cast<unsigned char*>(&jet)[offsetof(measure::JetFigures, may_move_seed) + 1] =
        fill == 0 ? 0x00 : 0x5a;
    texts[fill] = cell_json("ab", {}, done);
  }
  EXPECT_EQ(texts[0], texts[1]);
}
#endif

TEST(CellRecord, LongTextsAreWrittenAndHashedInPartsAsWhole) {
  using Json = nlohmann::ordered_json;
  const Json entry = {{"a", 1}, {"list", {1.5, "x"}}, {"deep", {{"b", Json::array({{{"c", 2}}})}}}};
  for (const std::size_t count : {0u, 1u, 3u}) {
    Json whole = {{"first", entry}, {"cells", Json::array()}, {"last", {1, 2}}};
    for (std::size_t k = 0; k < count; ++k) whole["cells"].push_back(entry);
    Json object = whole;
    object["cells"] = nullptr;
    EXPECT_EQ(output::json_text(object, {"cells", count, [&](std::size_t) { return entry; }}),
              output::json_text(whole));
  }
  output::HashOfParts parts;
  for (const char* part : {"", "a", "bc"}) parts.add(part);
  EXPECT_EQ(parts.short_hex(), output::short_hash_hex("abc"));
}

TEST(CellRecord, AnyDamageAndOtherInputsAreNothing) {
  FinishedCell done;
  done.cell.summary.rows.resize(1);
  const std::string text = cell_json("ab", {}, done);
  ASSERT_TRUE(cell_from(text, "ab"));
  EXPECT_FALSE(cell_from(text, "ac"));
  EXPECT_FALSE(cell_from("", "ab"));
  // behind the values, which are there for people
  for (std::size_t at = text.find("\"inputs\""); at + 2 < text.size(); at += 7) {
    EXPECT_FALSE(cell_from(text.substr(0, at), "ab")) << at;
    std::string other = text;
    other[at] = other[at] == '1' ? '2' : '1';
    if (other[at] == text[at] || text[at] == ' ' || text[at] == '\n') continue;
    EXPECT_FALSE(cell_from(other, "ab")) << at << text.substr(at, 20);
  }
}

TEST(CellRecord, HangsOnScenarioPassesAndWhenTheyStop) {
  const Study study = small_study();
  const std::vector<CellPlan> plan = batch_cells(study, 1, 0);
  const std::string inputs = cell_inputs(study, plan[0]);
  EXPECT_EQ(inputs, cell_inputs(study, batch_cells(study, 1, 0)[0]));
  EXPECT_NE(inputs, cell_inputs(study, batch_cells(study, 2, 0)[0]));
  for (const int change : {0, 1, 2, 3}) {
    Study other = study;
    if (change == 0) other.replicas = 3;
    if (change == 1) other.rng_key = 6;
    if (change == 2) other.stop.most = 8;
    if (change == 3) other.sets.push_back("seeding.scatter=\"5 %\"");
    EXPECT_NE(inputs, cell_inputs(other, batch_cells(other, 1, 0)[0])) << change;
  }
}

}  // namespace
}  // namespace sim::sweep
