// The machine's travel from a scenario: constant speed, profile or recorded drive, straight or on a
// constant radius.
//
// Checked  tests/sim/bench/travel_of_test.cc
#pragma once

#include "model/machine/travel.h"
#include "sim/scenario/scenario.h"

namespace sim::bench {

inline model::Travel travel_of(const scenario::Scenario& scenario) {
  const scenario::TravelSection& section = scenario.travel;
  std::vector<model::TravelKnot> knots = section.profile;
  if (knots.empty())
    knots.push_back({.time_s = 0.0, .speed_mps = section.speed_mps, .yaw_rate_radps = 0.0});
  // omega = v / R: linear in v, so it stays exact between knots
  if (section.turn_radius_m != 0.0)
    for (model::TravelKnot& knot : knots)
      knot.yaw_rate_radps = knot.speed_mps / section.turn_radius_m;
  return model::make_travel(std::move(knots));
}

}  // namespace sim::bench
