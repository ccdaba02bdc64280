// What `search` looks through: a scenario with a section [search], which a pass does not read.
//
//   [search]           passes (of each method), rng_key, hold_table
//   [search.ranges]    "KEY" = {uniform = [from, to]}, {log_uniform = [from, to]} or a list of
//                      values; also "travel.profile[N].speed" and keys of the scenario's own faults
//   [[search.fault]]   kinds, severities (all three if left out), from = [first, last],
//                      lasts = [shortest, longest]: none of these faults or one of them
//
//   hold_table = true, as it stands without it: every pass has the delay table of the scenario
//   itself, because that is the table that a machine has whose pressure, liquid or voltage has
//   moved. false: each pass is tuned for its own conditions, as `run` does.
//
// A point of the unit cube is a case: an axis for each range, four for each fault.
//
// Errors   InputError with file, line, key and nearest name: unknown key, a range or a fault that
//          the scenario does not take, no requirement, nothing to vary
// Checked  tests/sim/study/search/search_test.cc
#pragma once

#include <cstdint>
#include <filesystem>
#include <optional>
#include <string>
#include <vector>

#include "sim/scenario/axis_draw.h"
#include "sim/scenario/fault_severity.h"
#include "sim/scenario/scenario.h"
#include "sim/study/search/held_table.h"
#include "sim/study/search/optimiser.h"
#include "sim/text/document.h"

namespace sim::search {

struct FaultRange {
  std::vector<std::string> kinds;
  std::vector<scenario::Severity> severities;
  double first_s = 0.0, last_s = 0.0;        // when it begins
  double shortest_s = 0.0, longest_s = 0.0;  // how long it lasts
};

struct Search {
  std::string name;
  std::filesystem::path file;
  std::vector<std::string> sets;  // KEY=VALUE of the command line that belong to the case
  text::Node document;            // of the scenario, with the sets
  scenario::Scenario base;
  std::vector<scenario::StudyAxis> ranges;
  std::vector<FaultRange> faults;
  int passes = 500;
  std::uint64_t rng_key = 1;
  bool hold_table = true;
  std::optional<HeldTable> held;  // the delay table of all passes; none: tuned in each

  std::size_t dimensions() const { return ranges.size() + 4 * faults.size(); }
};

/// `controller`: the library of the command line, which is no part of a case; empty: as the
/// scenario states it.
Search load_search(const std::filesystem::path& file, const std::vector<std::string>& sets = {},
                   const std::filesystem::path& controller = {});

struct FaultPick {
  std::string kind;  // empty: no fault
  scenario::Severity severity = scenario::Severity::kMild;
  double from_s = 0.0;
  double lasts_s = 0.0;
};

/// What one case changes in the scenario.
struct Changes {
  std::vector<std::string> values;  // of each range, as a person writes it; empty: left as it is
  std::vector<FaultPick> faults;    // of each fault range
};

Changes no_changes(const Search& search);
/// Values have five significant digits, and more where the range is narrow for its distance from 0;
/// what is written down is what ran. None lies outside its range.
Changes changes_of(const Search& search, const Point& point);
/// A quantity as a person writes it, in the unit of the range and with its digits.
std::string written_value(const scenario::StudyAxis& range, double value_si);
/// The scenario's document with these changes laid over it.
text::Node document_with(const Search& search, const Changes& changes);
/// Errors   InputError where the scenario does not take these changes together
scenario::Scenario scenario_with(const Search& search, const Changes& changes);
/// The fault as a table of TOML on one line.
std::string fault_toml(const FaultPick& pick);
/// "travel.speed = 14.2 km/h", one for each change.
std::vector<std::string> words_of(const Search& search, const Changes& changes);
/// The value that the scenario itself has for a range of quantities.
double base_value_si(const Search& search, const scenario::StudyAxis& range);

}  // namespace sim::search
