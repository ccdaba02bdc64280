// The words of a rate plan: the first sentence, the warnings above everything else, and the figures
// line by line. Terminal, sheet and JSON show the same ones.
//
// Where a published limit or a label is exceeded, or urea lies with the seed, that sentence comes
// first and the volume that stays in the tank is not mentioned. For a crop without a published
// limit nothing says that the plan is within limits. Nothing is worded as a recommendation.
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
/// Warnings about machine, seed, product and label; the first sentence has the gravest trouble.
std::vector<std::string> rate_warnings(const RateResult& result, output::Units units);
std::vector<RateLine> rate_lines(const RateResult& result, output::Units units);
std::vector<RateLine> seed_lines(const RateResult& result, output::Units units);
/// "4.9 t", "17.4 lb/ac": mass over area.
std::string shown_mass_rate(double rate_kgpm2, output::Units units);
std::string shown_area(double area_m2, output::Units units, int decimals = 1);
std::string catch_test_text(const RateResult& result, output::Units units);

}  // namespace sim::rate
