// The values that a study draws at random, and the condition under which it has run enough passes.
//
//   {uniform = [from, to]}       uniform between the two
//   {log_uniform = [from, to]}   uniform in the logarithm; both above 0
//   {normal = {mean, sd}}        low and high truncate it: the density between them is scaled up
//
// Checked  tests/sim/scenario/loader_test.cc, tests/hostile/study_test.cc
#pragma once

#include <cstdint>
#include <limits>
#include <string>
#include <vector>

#include "sim/text/quantity.h"

namespace sim::scenario {

enum class DrawShape : std::uint8_t { kNone, kUniform, kLogUniform, kNormal };

struct AxisDraw {
  DrawShape shape = DrawShape::kNone;
  text::Kind kind = text::Kind::kRatio;
  std::string unit;        // unit in which the draws are written; empty: a plain number
  double first_si = 0.0;   // from, or mean
  double second_si = 0.0;  // to, or sd
  double low_si = -std::numeric_limits<double>::infinity();
  double high_si = std::numeric_limits<double>::infinity();
  std::string words;  // "uniform 4 km/h to 12 km/h"
  std::string place;  // "study.toml:7: axes.travel.speed", for messages about a draw
};

struct StudyAxis {
  std::string key;
  std::vector<std::string> values;  // as a person would write them in a scenario, with the unit
  AxisDraw draw = {};               // for a drawn axis, which has no values
};

/// How the cells of a study are chosen.
enum class Sampling : std::uint8_t { kGrid, kRandom, kLowDiscrepancy };

/// `stop`: which mean has to be known, and how precisely.
struct StopSection {
  std::string metric = "within_10mm_sensed";
  double half_width_si = 0.01;
  int most = 0;  // passes per cell, or samples; 0: nothing is added, the report says what is
                 // missing
};

}  // namespace sim::scenario
