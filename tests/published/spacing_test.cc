// Spacing indices against a worked example whose spacings sit on the edges of the classes.
//
// Source   class edges and simple form: Kachman and Smith 1995, Trans. ASAE 38(2):379, as quoted by
//          extension pages; ISO form: ISO 7256-1 / GB/T 6973 from memory; the example's figures are
//          worked by hand from those definitions.
#include "sim/measure/spacing.h"

#include <gtest/gtest.h>

#include <cmath>
#include <vector>

namespace {

using sim::measure::spacing_quality;
using sim::measure::SpacingQuality;

const std::vector<double> kExample_m = {0.160, 0.150, 0.170, 0.155, 0.165, 0.080, 0.240,
                                        0.010, 0.310, 0.160, 0.158, 0.162, 0.145, 0.175,
                                        0.400, 0.481, 0.152, 0.168, 0.159, 0.161};
constexpr double kTheoretical_m = 0.160;

std::vector<double> perfect_row_without_every(int k, int slots) {
  std::vector<double> spacings_m;
  int last = 0;
  for (int slot = 1; slot <= slots; ++slot) {
    if (slot % k == 0) continue;
    spacings_m.push_back((slot - last) * kTheoretical_m);
    last = slot;
  }
  return spacings_m;
}

}  // namespace

TEST(SpacingExample, ClassesTakeTheirUpperEdge) {
  const SpacingQuality q = spacing_quality(kExample_m, kTheoretical_m);
  EXPECT_EQ(q.spacings, 20);
  const long long classes[5] = {2, 15, 2, 1, 0};
  for (int c = 0; c < 5; ++c) EXPECT_EQ(q.classes[c], classes[c]) << c;
}

TEST(SpacingExample, SimpleFormSharesTheSpacings) {
  const SpacingQuality q = spacing_quality(kExample_m, kTheoretical_m);
  EXPECT_NEAR(q.simple.multiples_ratio, 0.100, 1e-12);
  EXPECT_NEAR(q.simple.misses_ratio, 0.150, 1e-12);
  EXPECT_NEAR(q.simple.quality_of_feed_ratio, 0.750, 1e-12);
  EXPECT_NEAR(q.simple.precision_ratio, 0.137858, 5e-7);
}

TEST(SpacingExample, IsoFormSharesTheTheoreticalIntervals) {
  const SpacingQuality q = spacing_quality(kExample_m, kTheoretical_m);
  EXPECT_NEAR(q.iso.multiples_ratio, 2.0 / 22.0, 1e-12);
  EXPECT_NEAR(q.iso.misses_ratio, 4.0 / 22.0, 1e-12);
  EXPECT_NEAR(q.iso.quality_of_feed_ratio, 16.0 / 22.0, 1e-12);
  EXPECT_NEAR(q.iso.precision_ratio, 0.133184, 5e-7);
}

TEST(SpacingExample, MeanAndSdOfAllSpacings) {
  const SpacingQuality q = spacing_quality(kExample_m, kTheoretical_m);
  EXPECT_NEAR(q.mean_m, 0.18805, 1e-12);
  EXPECT_NEAR(q.sd_m, 0.1035026, 5e-8);
}

TEST(SpacingLaw, SharesAddUpToOneInBothForms) {
  const SpacingQuality q = spacing_quality(kExample_m, kTheoretical_m);
  for (const sim::measure::SpacingIndices& form : {q.simple, q.iso})
    EXPECT_NEAR(form.multiples_ratio + form.misses_ratio + form.quality_of_feed_ratio, 1.0, 1e-15);
}

TEST(SpacingLaw, ScaleDoesNotMatter) {
  std::vector<double> scaled_m;
  for (double x_m : kExample_m) scaled_m.push_back(0.37 * x_m);
  const SpacingQuality a = spacing_quality(kExample_m, kTheoretical_m);
  const SpacingQuality b = spacing_quality(scaled_m, 0.37 * kTheoretical_m);
  for (int c = 0; c < 5; ++c) EXPECT_EQ(a.classes[c], b.classes[c]) << c;
  EXPECT_NEAR(a.simple.precision_ratio, b.simple.precision_ratio, 1e-12);
  EXPECT_NEAR(a.iso.precision_ratio, b.iso.precision_ratio, 1e-12);
}

TEST(SpacingLaw, APerfectRowIsPerfect) {
  const SpacingQuality q = spacing_quality(std::vector<double>(50, kTheoretical_m), kTheoretical_m);
  EXPECT_EQ(q.simple.quality_of_feed_ratio, 1.0);
  EXPECT_EQ(q.iso.quality_of_feed_ratio, 1.0);
  EXPECT_NEAR(q.simple.precision_ratio, 0.0, 1e-12);
}

// Of k intervals one seed is lost: k - 1 spacings remain, one of them double.
TEST(SpacingLaw, EverySeedLostInKCountsByTheConvention) {
  for (int k : {4, 5, 10}) {
    // Slots end on k n + 1, so that the row holds n whole groups of k intervals and one interval
    // more.
    const SpacingQuality q =
        spacing_quality(perfect_row_without_every(k, 100 * k + 1), kTheoretical_m);
    const double spacings = 100.0 * (k - 1) + 1.0;
    EXPECT_NEAR(q.simple.misses_ratio, 100.0 / spacings, 1e-12) << k;  // 1/(k - 1) for a long row
    EXPECT_NEAR(q.iso.misses_ratio, 100.0 / (100.0 * k + 1.0), 1e-12) << k;  // 1/k
  }
}

// An even spread over class II, 0.5 to 1.5, has the sd 1/sqrt(12) = 28.87 %: the practical ceiling.
TEST(SpacingLaw, EvenSpreadGivesTheCeilingOfPrecision) {
  std::vector<double> even_m;
  for (int i = 0; i < 2000; ++i) even_m.push_back(kTheoretical_m * (0.5 + (i + 0.5) / 2000.0));
  EXPECT_NEAR(spacing_quality(even_m, kTheoretical_m).iso.precision_ratio, 0.288675, 1e-6);
}

TEST(SpacingLaw, NothingMeasuredIsNotAZero) {
  const SpacingQuality none = spacing_quality(std::vector<double>{}, kTheoretical_m);
  EXPECT_TRUE(std::isnan(none.simple.quality_of_feed_ratio));
  EXPECT_TRUE(std::isnan(none.mean_m));
}
