// The shards of a study, merged, give the bytes of one sweep, also where samples decide together
// when to stop; what is missing or contradicts is named.
#include "sim/study/sweep/merge.h"

#include <gtest/gtest.h>

#include <fstream>

#include "sim/study/sweep/cell_record.h"
#include "sim/study/sweep/sweep_ledger.h"
#include "sim/study/sweep/sweep_page.h"
#include "sim/text/input_error.h"
#include "tests/support/result_folder.h"
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
    output::Ledger ledger(output::ledger_file(folder), owner_of(hashes_of_study(study)), false);
    SweepOptions options;
    use_ledger(study, ledger, nullptr, options);
    run_shard(study, shard, options);
    ledger.close();
  }
  return folders;
}

SweepResult merged(const Study& study, const ShardFolders& folders,
                   std::vector<MissingCell>* lacking = nullptr) {
  return merge_cells(study, {.shards = folders.count,
                             .read = [&](const CellPlan& plan) -> std::optional<FinishedCell> {
                               const std::string inputs = cell_inputs(study, plan);
                               const auto place = folders.cells.find(inputs);
                               if (place == folders.cells.end()) return {};
                               return cell_in(*place->second, inputs);
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
  const output::LedgerOwner owner = owner_of(hashes_of_study(study));
  const CellPlan plan = batch_cells(study, 1, 0).front();
  const std::string inputs = cell_inputs(study, plan);
  const auto differing_with = [&](const std::string& record) {
    output::Ledger(output::ledger_file(folders[0]), owner, true)
        .keep(inputs, output::kWhole, record);
    return read_shard_folders(folders, hashes_of_study(study)).differing;
  };
  const auto found = output::LedgerReader(output::ledger_file(folders[1]), owner).find(inputs);
  ASSERT_TRUE(found);
  EXPECT_TRUE(differing_with(*found).empty());
  std::optional<FinishedCell> other = cell_from(*found, inputs);
  ASSERT_TRUE(other);
  other->cell.summary.all.gap_ratio += 1e-12;
  const auto differing = differing_with(cell_json(inputs, plan, *other));
  ASSERT_EQ(differing.size(), 1u);
  EXPECT_EQ(differing[0], output::ledger_file(folders[0]).string() + " and " +
                              output::ledger_file(folders[1]).string() + ", cell 12 km/h, 2 s");
  // A damaged record is none, so nothing contradicts the whole one.
  EXPECT_TRUE(differing_with(found->substr(0, found->size() / 2)).empty());
}

TEST(Merge, MissingCellsAreNamedInOrderWithTheirShards) {
  const Study study = study_with({}, "[\"2 s\", \"3 s\"]");
  const support::ScratchFolder scratch;
  const auto folders = run_shards(study, 4, scratch.path());
  for (const std::size_t group : {5u, 1u})
    support::change_ledger(folders[1],
                           "DELETE FROM piece WHERE inputs = '" +
                               cell_inputs(study, batch_cells(study, group, 0).front()) + "'");
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
