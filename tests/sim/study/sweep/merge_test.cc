// The shards of a study, merged, give the bytes of one sweep, also where samples decide together
// when to stop; what is missing or contradicts is named.
#include "sim/study/sweep/merge.h"

#include <gtest/gtest.h>

#include <fstream>

#include "sim/study/sweep/cell_file.h"
#include "sim/study/sweep/sweep_page.h"
#include "sim/text/input_error.h"
#include "tests/support/run_program.h"
#include "tests/support/small_study.h"

namespace sim::sweep {
namespace {

namespace fs = std::filesystem;

Study study_with(const std::vector<std::string>& sets, const std::string& durations) {
  const support::ScratchFolder scratch;
  return load_study(support::write_small_study(scratch.path(), durations), sets);
}

std::string all_text(SweepResult result) {
  seal(result);
  return sweep_summary_json(result) + cells_csv(result) +
         sweep_report_html(result, output::Units::kMetric);
}

void write_text(const fs::path& file, const std::string& text) {
  fs::create_directories(file.parent_path());
  std::ofstream(file, std::ios::binary | std::ios::trunc) << text;
}

std::vector<fs::path> run_shards(const Study& study, std::size_t shards, const fs::path& below) {
  std::vector<fs::path> folders;
  for (std::size_t number = 1; number <= shards; ++number) {
    const fs::path folder = below / std::to_string(number);
    folders.push_back(folder);
    const Shard shard{number, shards};
    write_text(shard_file(folder), shard_json({study.name, shard, hashes_of_study(study)}));
    run_shard(study, shard, {.keep = [&](const CellPlan& plan, const FinishedCell& done) {
                const std::string inputs = cell_inputs(study, plan);
                write_text(cell_file(folder, inputs), cell_json(inputs, plan, done));
              }});
  }
  return folders;
}

SweepResult merged(const Study& study, const ShardFolders& folders,
                   std::vector<MissingCell>* lacking = nullptr) {
  return merge_cells(study, {.shards = folders.count,
                             .read = [&](const CellPlan& plan) -> std::optional<FinishedCell> {
                               const std::string inputs = cell_inputs(study, plan);
                               const auto file = folders.cells.find(inputs);
                               if (file == folders.cells.end()) return {};
                               return cell_from(support::text_of(file->second), inputs);
                             },
                             .refuse =
                                 [&](const std::vector<MissingCell>& missing) {
                                   if (lacking != nullptr) *lacking = missing;
                                   throw text::InputError("missing");
                                 }});
}

TEST(Merge, ShardsGiveTheBytesOfOneSweepWhateverIsDealt) {
  const std::string drawn = "{uniform = [\"1 s\", \"2 s\"]}";
  const std::string stop = "stop={metric=\"within_10mm_sensed\", half_width=\"1 %\", most=4}";
  const std::vector<Study> studies = {
      study_with({stop}, "[\"1 s\", \"2 s\"]"),
      study_with({"sampling=\"random\"", "samples=3", "replicas=1"}, drawn),
      study_with({"sampling=\"low-discrepancy\"", "samples=2", "replicas=1", stop}, drawn)};
  for (const Study& study : studies) {
    const support::ScratchFolder scratch;
    const std::string whole = all_text(run_sweep(study));
    const auto folders = run_shards(study, 3, scratch.path());
    EXPECT_EQ(all_text(merged(study, read_shard_folders(folders, hashes_of_study(study)))), whole)
        << static_cast<int>(study.sampling);
  }
}

TEST(Merge, ACellWithTwoResultsIsFoundAndAnEqualOneIsNot) {
  const Study study = study_with({}, "[\"2 s\"]");
  const support::ScratchFolder scratch;
  const auto folders = run_shards(study, 2, scratch.path());
  const std::string inputs = cell_inputs(study, batch_cells(study, 1, 0).front());
  const std::string text = support::text_of(cell_file(folders[1], inputs));
  ASSERT_FALSE(text.empty());
  write_text(cell_file(folders[0], inputs), text);
  EXPECT_TRUE(read_shard_folders(folders, hashes_of_study(study)).differing.empty());
  std::optional<FinishedCell> other = cell_from(text, inputs);
  ASSERT_TRUE(other);
  other->cell.summary.all.gap_ratio += 1e-12;
  write_text(cell_file(folders[0], inputs), cell_json(inputs, {}, *other));
  const auto differing = read_shard_folders(folders, hashes_of_study(study)).differing;
  ASSERT_EQ(differing.size(), 1u);
  EXPECT_NE(differing[0].find(cell_file(folders[0], inputs).string()), std::string::npos);
  EXPECT_NE(differing[0].find(cell_file(folders[1], inputs).string()), std::string::npos);
  // A damaged file is none, so nothing contradicts the whole one.
  write_text(cell_file(folders[0], inputs), text.substr(0, text.size() / 2));
  EXPECT_TRUE(read_shard_folders(folders, hashes_of_study(study)).differing.empty());
}

TEST(Merge, MissingCellsAreNamedInOrderWithTheirShards) {
  const Study study = study_with({}, "[\"2 s\", \"3 s\"]");
  const support::ScratchFolder scratch;
  const auto folders = run_shards(study, 4, scratch.path());
  for (const std::size_t group : {5u, 1u})
    fs::remove(cell_file(folders[1], cell_inputs(study, batch_cells(study, group, 0).front())));
  std::vector<MissingCell> missing;
  EXPECT_THROW(merged(study, read_shard_folders(folders, hashes_of_study(study)), &missing),
               text::InputError);
  ASSERT_EQ(missing.size(), 2u);
  EXPECT_EQ(missing[0].values, (std::vector<std::string>{"8 km/h", "3 s"}));
  EXPECT_EQ(missing[1].values, (std::vector<std::string>{"16 km/h", "3 s"}));
  EXPECT_EQ(missing[0].shard, 2u);
}

}  // namespace
}  // namespace sim::sweep
