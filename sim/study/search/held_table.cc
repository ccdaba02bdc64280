#include "sim/study/search/held_table.h"

#include "sim/scenario/delay_file.h"
#include "sim/scenario/table_seal.h"
#include "sim/study/run/run.h"
#include "sim/study/run/seal.h"
#include "sim/study/tune/tune_once.h"

namespace sim::search {

std::optional<HeldTable> held_table_of(const scenario::Scenario& base) {
  if (base.controller.delay != scenario::DelaySource::kTuned) return {};
  // What a scenario does to the table on purpose comes on top of a table from a file too.
  scenario::Scenario plain = base;
  plain.controller.delay_time_error_s = 0.0;
  plain.controller.delay_distance_error_m = 0.0;
  plain.controller.ignore_lag = false;
  const tune::TunedTable tuned = tune::tune_once(plain);
  run::require_servable(plain, tuned);
  scenario::DelayFile file;
  for (const std::string& key : scenario::delay_header_keys())
    file.header.emplace_back(key, "as in the scenario that was searched");
  file.table = tuned.table;
  file.evidence.valid_box = "tuned for the scenario's own conditions";
  file.evidence.attachment_sum = scenario::attachment_sum(base.attachment);
  file.evidence.program = run::input_hashes(base).program;
  return HeldTable{scenario::sealed_table(tuned.table), scenario::delay_file_text(file)};
}

void hold_table(const HeldTable& held, scenario::Scenario& scenario) {
  scenario.controller.delay = scenario::DelaySource::kTable;
  scenario.controller.table = kTableFile;
  scenario.controller.given = held.table;
}

}  // namespace sim::search
