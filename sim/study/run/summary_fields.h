// The figures of a pass as JSON, key by key as scenarios/manual/results.md lists them. New keys are
// appended; no key is renamed.
//
// Checked  tests/sim/study/run/tables_test.cc
#pragma once

#include <nlohmann/json_fwd.hpp>

#include "sim/study/run/run.h"

namespace sim::run {

nlohmann::ordered_json requirement_fields(const measure::Summary& summary);
/// Appends `seeds` to `applied_volume_m3` of one set of figures to an object.
void add_figures(nlohmann::ordered_json& object, const measure::Figures& figures);
nlohmann::ordered_json spacing_fields(const measure::SpacingQuality& spacing);
nlohmann::ordered_json jet_fields(const measure::JetFigures& jet);
nlohmann::ordered_json health_fields(const sillion_health& health);
nlohmann::ordered_json tuned_fields(const tune::TunedTable& tuned);
nlohmann::ordered_json noise_fields(const scenario::Scenario& scenario);
nlohmann::ordered_json hash_fields(const output::RunHashes& hashes);
/// Everything that summary.json shows of one summary, from `verdict` to `simulated_s`.
void add_summary(nlohmann::ordered_json& object, const measure::Summary& summary);
/// Keys that were added after the file's first form: break-even, dose and length shares, balance.
void add_later(nlohmann::ordered_json& object, const measure::Summary& summary);

}  // namespace sim::run
