// A rate plan in words: the first sentence, the warnings that stand above everything else, and the
// figures line by line. Terminal, sheet and JSON show the same ones.
//
// Over a published limit its sentence comes first and nothing is said of what stays in the tank; a
// crop for which none is published gets no word of being within limits. Nothing is worded as a
// recommendation.
// Checked  tests/sim/study/rate/rate_plan_test.cc
#pragma once

#include <string>
#include <vector>

#include "sim/study/rate/rate_study.h"
#include "sim/study/run/report.h"

namespace sim::rate {

struct RateLine {
  std::string name;
  std::string text;  // with its unit
};

std::string rate_sentence(const RateResult& result, output::Units units);
/// Seed, label, product and machine, the gravest first.
std::vector<std::string> rate_warnings(const RateResult& result, output::Units units);
std::vector<RateLine> rate_lines(const RateResult& result, output::Units units);
std::vector<RateLine> seed_lines(const RateResult& result, output::Units units);
/// "4.9 t", "17.4 lb/ac": mass over area.
std::string shown_mass_rate(double rate_kgpm2, output::Units units);
std::string shown_area(double area_m2, output::Units units, int decimals = 1);
std::string catch_test_text(const RateResult& result, output::Units units);

}  // namespace sim::rate
