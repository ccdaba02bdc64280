// What a person has set on the page, and what follows from it: the scenario of one row that is
// passed over, the command line that gives the same result, the scenario file that keeps it.
//
//   The page passes over one row for about 3 s of field. It says so by two more settings, row.count
//   and seeds, so that the command line shown does the same.
//
// Errors   InputError: a key that the page does not set (with the nearest that it does), and what
//          the loader of scenarios refuses
// Checked  tests/sim/study/page/page_settings_test.cc
#pragma once

#include <filesystem>
#include <string>
#include <vector>

#include "sim/output/shown_units.h"
#include "sim/scenario/scenario.h"

namespace sim::page {

/// A key and the text that stands for its value, as behind --set.
struct Setting {
  std::string key;
  std::string value;
};

/// What the page was started with.
struct PageBase {
  std::filesystem::path file;     // the scenario
  std::string shown;              // the same, as a command line shows it
  std::vector<std::string> sets;  // KEY=VALUE of the command line
  output::Units units = output::Units::kMetric;
};

struct PageInput {
  scenario::Scenario scenario;  // of one row
  std::vector<std::string> sets;
  std::string command;  // gives the same result: "sillion run ... --set ..."
};

/// Errors   InputError: not a JSON list of [key, value] pairs of text, at most 200 of them
std::vector<Setting> settings_of_json(const std::string& json);
/// The whole scenario with what is set, for work on all of its rows.
scenario::Scenario whole_scenario(const PageBase& base, const std::vector<Setting>& settings);
PageInput page_input(const PageBase& base, const std::vector<Setting>& settings);
/// Text of a scenario file in `folder` that states the page's scenario as its base and what differs
/// from it. Paths that the command line stated from the base's folder are stated from `folder`.
std::string saved_scenario(const PageBase& base, const std::vector<Setting>& settings,
                           const std::filesystem::path& folder);

}  // namespace sim::page
