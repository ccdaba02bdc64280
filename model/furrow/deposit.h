// Where one pulse's liquid came to lie: a band described by the mass quantiles of its own liquid
// without dribble.
//
//   centre = centroid
//   start = 1.5 x25 - 0.5 x75, end = 1.5 x75 - 0.5 x25   (exact for an even band)
//   length = end - start
//
// Parcels of a pulse overtake each other, so they are sorted by x before the quantiles are read.
// Each parcel is a point; quantiles are linear between the parcels' middles of cumulated volume.
// Shapes   one span of parcels per pulse; no heap
// Errors   EXPECTS finite places, volumes >= 0; covered_ratio EXPECTS from < to, cell_m > 0
// Source   this project's definitions, scenarios/manual/measures.md
// Checked  tests/model/furrow/deposit_test.cc
#pragma once

#include <span>
#include <vector>

namespace model {

struct Parcel {
  double x_ground_m = 0.0;
  double volume_m3 = 0.0;
  bool dribble = false;
  bool secondary = false;  // left after the outlet flow first fell below 5 % of its steady value
};

struct BandShape {
  double start_x_ground_m = 0.0;
  double end_x_ground_m = 0.0;
  double centre_x_ground_m = 0.0;
  double dose_m3 = 0.0;    // all liquid of the pulse, dribble too
  double shaped_m3 = 0.0;  // liquid that counts for the shape
  double secondary_ratio = 0.0;
};

/// Sorts the parcels in place. With no shaped liquid the places are not-a-number, shaped_m3 is 0.
BandShape band_shape(std::span<Parcel> parcels);
/// Share of the parcels' volume (all of it, dribble too) within [from, to].
double volume_within_ratio(std::span<const Parcel> parcels, double from_x_ground_m,
                           double to_x_ground_m);
/// Share of [from, to] whose line density (all liquid, dribble too), over cells of cell_m, is at
/// least floor_m3pm. The last cell is cut to fit.
double covered_ratio(std::span<const Parcel> parcels, double from_x_ground_m, double to_x_ground_m,
                     double cell_m, double floor_m3pm);

}  // namespace model
