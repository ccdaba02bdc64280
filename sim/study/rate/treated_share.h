// Share of the furrow that lies in bands (overlap counts once), over the meter's own distribution
// of spacings (model/seed/seed_meter.h) and not only at their mean.
//
//   f = E[ sum over the seeds of a slot of min(B, distance to the next seed) ] / s
//
//   next seed   that of the following slot, or a later one where slots between are skipped: (1 + j)
//               s with probability skips^j (1 - skips), moved by the scatter of both seeds; the
//               second seed of a double lies its gap after the first
//   scatter     of places: normal, cut off at half a spacing on either side; a rule of 97 points
//               over six sd on either side, off by 4e-4 of the scatter at most (band = spacing)
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
/// Mean number of seeds per slot: 1 - skips + doubles.
double seeds_per_slot_ratio(const model::SeedMeterParams& meter);

}  // namespace sim::rate
