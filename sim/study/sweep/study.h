// Study files: a base scenario, the axes over which it is varied, and the number of passes per
// cell.
//
// Errors   InputError with file, line, key and the nearest valid name, as for scenario files
// Checked  tests/sim/scenario/loader_test.cc, tests/hostile/study_test.cc
#pragma once

#include <cstdint>
#include <filesystem>
#include <string>
#include <vector>

#include "sim/scenario/axis_draw.h"

namespace sim::sweep {

struct Study {
  std::string name;
  std::string title;
  std::filesystem::path base;
  std::vector<std::string>
      sets;  // `[set]` of the study: KEY=VALUE laid over the base before the axes
  std::vector<scenario::StudyAxis> axes;
  int replicas = 1;
  std::uint64_t rng_key = 1;
  std::vector<std::string>
      shown;  // `shown`: axis values of the cell that the report draws; empty: the first cell
  scenario::Sampling sampling = scenario::Sampling::kGrid;
  int samples = 0;  // per combination of the listed axes; with stop.most: per batch
  scenario::StopSection stop = {};
};

/// `sets` whose key belongs to the study itself (title, replicas, rng_key, shown, sampling,
/// samples, stop.*, axes.*) change the study; the others are appended to Study::sets after those of
/// the file. Every axis value is loaded once over the base, so that mistakes show before a run.
Study load_study(const std::filesystem::path& file, const std::vector<std::string>& sets = {});

}  // namespace sim::sweep
