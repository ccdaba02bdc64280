// Share of the furrow that lies in bands, overlap counted once, over the meter's own law of spacing
// (model/seed/seed_meter.h) and not only at its mean.
//
//   f = E[ sum over the seeds of a slot of min(B, way to the next seed) ] / s
//
//   next seed   of the slot after, or further on where slots in between are skipped: (1 + j) s with
//               probability skips^j, moved by both seeds' scatter; the second seed of a double lies
//               its gap behind the first
//   scatter     of places, normal, cut off at half a spacing either side: rule of 97 points over
//               six sd, off by 4e-4 of the scatter at most (band = spacing)
//
// Left out    a second seed that falls past the next slot's seed (needs four sd at 12 % scatter:
//             below 1e-6 of f); runs of skips rarer than 1e-12
// Errors      EXPECTS spacing, band > 0; skips below 1
// Source      this project's meter; checked against derived figures and against counting
// Checked     tests/sim/study/rate/treated_share_test.cc, tests/published/rate_plan_test.cc
#pragma once

#include "model/seed/seed_meter.h"

namespace sim::rate {

double expected_treated_ratio(const model::SeedMeterParams& meter, double band_length_m);
/// Seeds of a slot in the mean: 1 - skips + doubles.
double seeds_per_slot_ratio(const model::SeedMeterParams& meter);

}  // namespace sim::rate
