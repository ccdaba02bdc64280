// A suite: scenarios in which a changed firmware must hold the requirements, family by family. Each
// family varies one scenario over a grid; each cell of the grid, for each of its random keys, is a
// case.
//
//   title, baseline           words; the accepted results beside the suite
//                             (sim/study/check/baseline.h)
//   [margin] METRIC = "..."   by how much a metric may worsen against the baseline
//   [[family]]                name, base, [family.set], [family.axes], [[family.require]],
//                             rng_keys, mandatory
//
//   A case's requirements are its scenario's own (set.require = [] drops them), followed by the
//   family's. Everything that a case lays over its scenario is one list of KEY=VALUE, so that
//   `sillion run BASE --set ...` is exactly that case.
//
// Errors   InputError with file, line and key: unknown key or metric, a missing base, two families
//          of one name, an axis with a distribution, and everything that loader.h refuses
// Checked  tests/sim/study/check/suite_test.cc, tests/hostile/suite_input_test.cc
#pragma once

#include <cstdint>
#include <filesystem>
#include <string>
#include <utility>
#include <vector>

#include "sim/scenario/scenario.h"

namespace sim::check {

struct SuiteCase {
  std::string id;      // "straight/16 km/h, 150 mm/key 2"
  std::string family;  // the part before the first /
  bool mandatory = true;
  std::filesystem::path base;
  std::vector<std::string> sets;
  std::string place;  // of its family: "scenarios/pull_request.toml:12"
  scenario::Scenario scenario;
};

struct StatedMargin {
  std::string metric;
  double margin_si = 0.0;  // tidy: unit is the metric's
};

struct Suite {
  std::string name;
  std::string title;
  std::filesystem::path baseline;  // empty: none stated
  std::vector<StatedMargin> margins;
  std::vector<SuiteCase> cases;  // in the order of the file
};

Suite load_suite(const std::filesystem::path& file);
/// Gives a case another key: other seeds, bounces and noise under the same name.
void set_rng_key(SuiteCase& one, std::uint64_t rng_key);

}  // namespace sim::check
