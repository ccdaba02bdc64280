#include "sim/study/sweep/merge.h"

#include <algorithm>
#include <mutex>

#include "sim/output/number_text.h"
#include "sim/study/sweep/cell_record.h"
#include "sim/study/sweep/sweep_ledger.h"
#include "sim/study/sweep/sweep_page.h"
#include "sim/text/input_error.h"

namespace sim::sweep {
namespace {

namespace fs = std::filesystem;

ShardNote note_of(const fs::path& folder) {
  const std::optional<ShardNote> note = read_shard_note(folder);
  if (note) return *note;
  throw text::InputError(folder.string() + ": " +
                         (fs::exists(shard_file(folder))
                              ? "shard.json is damaged"
                              : "there is no shard.json, so this is not the folder of a shard") +
                         "; sillion sweep STUDY --shard i/S --out DIR makes one");
}

void require_fitting(const fs::path& folder, const ShardNote& note, const StudyHashes& hashes,
                     const ShardFolders& others) {
  const std::string here = folder.string() + ": shard " + note.shard.words();
  const std::string differs = differing_hash(note.hashes, hashes);
  if (!differs.empty())
    throw text::InputError(here + " of " + note.name + " was run with another " + differs +
                           (differs == "study"
                                ? " than this one, as it stands with its --set values"
                                : " than the one that is merging") +
                           ": the hashes differ; run it again, or merge with that " + differs);
  if (others.by_shard.empty()) return;
  const auto& [number, first] = *others.by_shard.begin();
  if (note.shard.count != others.count)
    throw text::InputError(here + " does not go with shard " + Shard{number, others.count}.words() +
                           " in " + first.string() + ": all shards need the same number of shards");
  const auto twice = others.by_shard.find(note.shard.number);
  if (twice != others.by_shard.end())
    throw text::InputError(here + " is in " + twice->second.string() +
                           " as well; state each shard once");
}

/// What a cell has in the files of a result, and the observations of the stop rule.
std::string result_text(const FinishedCell& done) {
  SweepResult alone;
  alone.cells.push_back(done.cell);
  std::string text = unhashed_sweep_json(alone) + cells_csv(alone);
  for (const Observation& one : done.seen)
    text += output::number_text(one.value_si) + " " + std::to_string(one.trials) + "\n";
  return text;
}

std::string values_words(const std::string& record) {
  std::string words;
  for (const std::string& value : cell_values_of(record))
    words += (words.empty() ? "" : ", ") + value;
  return words.empty() ? "without axes" : words;
}

/// The cells of one more ledger, if there is one.
void add_cells(const fs::path& file, const output::LedgerOwner& owner, ShardFolders& all) {
  std::error_code ignored;
  if (!fs::exists(file, ignored)) return;
  all.ledgers.push_back(std::make_unique<output::LedgerReader>(file, owner));
  output::LedgerReader& ledger = *all.ledgers.back();
  for (const std::string& inputs : ledger.whole_keys()) {
    const std::optional<std::string> record = ledger.find(inputs);
    if (!record || !cell_from(*record, inputs)) continue;  // damaged: the cell is missing here
    const auto [known, is_new] = all.cells.try_emplace(inputs, &ledger);
    if (is_new || same_cell(inputs, *record, known->second->find(inputs).value_or(""))) continue;
    all.differing.push_back(known->second->file().string() + " and " + file.string() + ", cell " +
                            values_words(*record));
  }
}

}  // namespace

std::vector<std::size_t> ShardFolders::missing() const {
  std::vector<std::size_t> numbers;
  for (std::size_t number = 1; number <= count; ++number)
    if (!by_shard.contains(number)) numbers.push_back(number);
  return numbers;
}

bool same_cell(const std::string& inputs, const std::string& text, const std::string& other) {
  if (text == other) return true;
  const std::optional<FinishedCell> one = cell_from(text, inputs), two = cell_from(other, inputs);
  // Bytes between the figures of a structure in memory may differ and say nothing.
  return one && two && result_text(*one) == result_text(*two);
}

ShardFolders read_shard_folders(const std::vector<fs::path>& folders, const StudyHashes& hashes) {
  ShardFolders all;
  for (const fs::path& folder : folders) {
    const ShardNote note = note_of(folder);
    require_fitting(folder, note, hashes, all);
    all.count = note.shard.count;
    all.by_shard[note.shard.number] = folder;
  }
  for (const auto& [number, folder] : all.by_shard)
    add_cells(output::ledger_file(folder), owner_of(hashes), all);
  std::sort(all.differing.begin(), all.differing.end());
  return all;
}

SweepResult merge_cells(const Study& study, const CellSource& source,
                        const std::atomic<bool>* stop) {
  struct Place {
    std::size_t batch = 0;
    std::map<std::size_t, MissingCell> by_sample;
  };
  std::mutex one_at_a_time;
  std::map<std::size_t, Place> missing;  // by group
  const auto batch_size = static_cast<std::size_t>(std::max(1, study.samples));
  const auto find = [&](const CellPlan& plan) -> std::optional<FinishedCell> {
    std::optional<FinishedCell> found = source.read(plan);
    if (found) return found;
    const std::lock_guard lock(one_at_a_time);
    Place& place =
        missing.try_emplace(plan.group, Place{plan.sample / batch_size, {}}).first->second;
    // Without the missing cells nobody knows whether a later batch has run.
    if (plan.sample / batch_size == place.batch)
      place.by_sample[plan.sample] = {plan.values, shard_number(study, source.shards, plan)};
    FinishedCell none;
    none.cell.fault = CellFault::kBench;
    return none;
  };
  const auto on_cells = [&] {
    std::vector<MissingCell> all;
    for (auto& [group, place] : missing)
      for (auto& [sample, cell] : place.by_sample) all.push_back(std::move(cell));
    if (!all.empty()) source.refuse(all);
  };
  return run_sweep(study, {.stop = stop, .find = find, .on_cells = on_cells});
}

}  // namespace sim::sweep
