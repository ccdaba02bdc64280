// The result files of a rig run: JSON, CSV of the histories and of the pulses, and a page of plots.
//
//   rig.json     schema "sillion.rig.1": series, pulses, steady_flow_m3ps, balance_m3, solver;
//                measured where the setup names a measurement: its figures in the column's unit
//   series.csv   one line per instant     pulses.csv   one line per pulse    rig.html   with --plot
//
// Units    SI; names carry the unit. Figures that do not exist are null or empty.
// Errors   OutputError; no half-written file stays
// Checked  tests/sim/study/rig/rig_test.cc
#pragma once

#include <filesystem>
#include <string>

#include "sim/study/rig/rig.h"
#include "sim/study/run/report.h"

namespace sim::rig {

std::string rig_json(const RigResult& result);
std::string rig_series_csv(const RigResult& result);
std::string rig_pulses_csv(const RigResult& result);
std::string rig_html(const RigResult& result, output::Units units);
/// The histories as a drawing of their own; beside a measurement, the measured ones alone.
std::string rig_svg(const RigResult& result, output::Units units);
/// The figure comes first: what the pulse did, or what the ideal ends did.
std::string rig_sentence(const RigResult& result, output::Units units);
/// What a chopper's clock does to current and band; empty without one.
std::string chopping_sentence(const RigResult& result, output::Units units);
void write_rig(const RigResult& result, const std::filesystem::path& out, bool plot,
               output::Units units);

}  // namespace sim::rig
