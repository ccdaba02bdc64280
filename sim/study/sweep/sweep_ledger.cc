#include "sim/study/sweep/sweep_ledger.h"

#include <map>
#include <memory>
#include <mutex>
#include <utility>

#include "sim/study/sweep/cell_record.h"
#include "sim/study/sweep/pass_record.h"

namespace sim::sweep {
namespace {

/// The keys of cells under way: computing one takes as long as a short pass.
class KeysUnderWay {
 public:
  explicit KeysUnderWay(const Study& study) : study_(study) {}

  std::string of(const CellPlan& plan) {
    const std::pair cell{plan.group, plan.sample};
    {
      const std::lock_guard lock(mutex_);
      if (const auto known = keys_.find(cell); known != keys_.end()) return known->second;
    }
    const std::string key = cell_inputs(study_, plan);
    const std::lock_guard lock(mutex_);
    keys_.emplace(cell, key);
    return key;
  }
  void ended(const CellPlan& plan) {
    const std::lock_guard lock(mutex_);
    keys_.erase({plan.group, plan.sample});
  }

 private:
  const Study& study_;
  std::mutex mutex_;
  std::map<std::pair<std::size_t, std::size_t>, std::string> keys_;
};

std::optional<std::string> record_in(output::Ledger& ledger, output::LedgerReader* earlier,
                                     const std::string& key, std::int64_t number) {
  if (std::optional<std::string> found = ledger.find(key, number)) return found;
  return earlier == nullptr ? std::nullopt : earlier->find(key, number);
}

}  // namespace

output::LedgerOwner owner_of(const StudyHashes& hashes) {
  return {.study = hashes.study, .controller = hashes.controller, .program = hashes.program};
}

void use_ledger(const Study& study, output::Ledger& ledger, output::LedgerReader* earlier,
                SweepOptions& options) {
  const auto keys = std::make_shared<KeysUnderWay>(study);
  options.find = [keys, &ledger, earlier](const CellPlan& plan) -> std::optional<FinishedCell> {
    const std::string key = keys->of(plan);
    const std::optional<std::string> record = record_in(ledger, earlier, key, output::kWhole);
    std::optional<FinishedCell> found = record ? cell_from(*record, key) : std::nullopt;
    if (found) keys->ended(plan);
    return found;
  };
  options.keep = [keys, &ledger](const CellPlan& plan, const FinishedCell& done) {
    const std::string key = keys->of(plan);
    keys->ended(plan);
    ledger.keep(key, output::kWhole, cell_json(key, plan, done));
  };
  options.find_pass = [keys, &ledger, earlier](const CellPlan& plan,
                                               std::size_t index) -> std::optional<FinishedPass> {
    const auto record =
        record_in(ledger, earlier, keys->of(plan), static_cast<std::int64_t>(index));
    return record ? pass_from(*record) : std::nullopt;
  };
  options.keep_pass = [keys, &ledger](const CellPlan& plan, std::size_t index,
                                      const FinishedPass& done) {
    ledger.keep(keys->of(plan), static_cast<std::int64_t>(index), pass_bytes(done));
  };
}

std::optional<FinishedCell> cell_in(output::LedgerReader& ledger, const std::string& inputs) {
  const std::optional<std::string> found = ledger.find(inputs);
  return found ? cell_from(*found, inputs) : std::nullopt;
}

}  // namespace sim::sweep
