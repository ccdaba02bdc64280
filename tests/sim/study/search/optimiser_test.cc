// The optimiser against functions whose least values are known, beside points drawn at random.
// Source of functions and least values, from memory: L. C. W. Dixon, G. P. Szego, The global
// optimization problem, in Towards Global Optimisation 2 (1978): Branin, Goldstein-Price and
// Hartman with six unknowns.
#include "sim/study/search/optimiser.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>
#include <stdexcept>

namespace {

using sim::search::OptimiserOptions;
using sim::search::Point;
using Function = double (*)(const Point&);  // tidy: unit none

double branin(const Point& share_ratio) {  // tidy: unit none
  using std::numbers::pi;
  const double x = -5.0 + 15.0 * share_ratio[0], y = 15.0 * share_ratio[1];  // tidy: unit none
  const double a = y - 5.1 / (4.0 * pi * pi) * x * x + 5.0 / pi * x - 6.0;   // tidy: unit none
  return a * a + 10.0 * (1.0 - 1.0 / (8.0 * pi)) * std::cos(x) + 10.0;
}

double goldstein_price(const Point& share_ratio) {                                // tidy: unit none
  const double x = -2.0 + 4.0 * share_ratio[0], y = -2.0 + 4.0 * share_ratio[1];  // tidy: unit none
  const double sum = x + y + 1.0, difference = 2.0 * x - 3.0 * y;                 // tidy: unit none
  return (1.0 +
          sum * sum * (19.0 - 14.0 * x + 3.0 * x * x - 14.0 * y + 6.0 * x * y + 3.0 * y * y)) *
         (30.0 + difference * difference *
                     (18.0 - 32.0 * x + 12.0 * x * x + 48.0 * y - 36.0 * x * y + 27.0 * y * y));
}

double hartman(const Point& share_ratio) {                    // tidy: unit none
  static constexpr std::array<std::array<double, 6>, 4> kA = {// tidy: unit none
                                                              {{10, 3, 17, 3.5, 1.7, 8},
                                                               {0.05, 10, 17, 0.1, 8, 14},
                                                               {3, 3.5, 1.7, 10, 17, 8},
                                                               {17, 8, 0.05, 10, 0.1, 14}}};
  static constexpr std::array<std::array<double, 6>, 4> kP = {
      // tidy: unit none
      {{0.1312, 0.1696, 0.5569, 0.0124, 0.8283, 0.5886},
       {0.2329, 0.4135, 0.8307, 0.3736, 0.1004, 0.9991},
       {0.2348, 0.1451, 0.3522, 0.2883, 0.3047, 0.6650},
       {0.4047, 0.8828, 0.8732, 0.5743, 0.1091, 0.0381}}};
  static constexpr std::array<double, 4> kC = {1.0, 1.2, 3.0, 3.2};  // tidy: unit none
  double sum = 0.0;                                                  // tidy: unit none
  for (std::size_t i = 0; i < 4; ++i) {
    double far = 0.0;  // tidy: unit none
    for (std::size_t j = 0; j < 6; ++j)
      far += kA[i][j] * (share_ratio[j] - kP[i][j]) * (share_ratio[j] - kP[i][j]);
    sum -= kC[i] * std::exp(-far);
  }
  return sum;
}

struct Found {
  double least = 1e300;  // tidy: unit none
  std::vector<Point> points;
};

Found look(Function function, const OptimiserOptions& options, bool at_random = false) {
  Found found;
  const auto judge = [&](const std::vector<Point>& round) {
    std::vector<double> values;  // tidy: unit none
    for (const Point& point : round) {
      for (const double at_ratio : point) {
        EXPECT_GE(at_ratio, 0.0);
        EXPECT_LE(at_ratio, 1.0);
      }
      values.push_back(function(point));
      found.least = std::min(found.least, values.back());
      found.points.push_back(point);
    }
    return values;
  };
  (at_random ? sim::search::draw_at_random : sim::search::optimise)(options, judge);
  return found;
}

struct Known {
  const char* name;
  Function function;
  std::size_t dimensions;
  double least;  // tidy: unit none
};
constexpr Known kKnown[] = {{"Branin", branin, 2, 0.397887},
                            {"Goldstein-Price", goldstein_price, 2, 3.0},
                            {"Hartman", hartman, 6, -3.32237}};

// With every key: within a thousandth of the span of values that matters (1), and nearer than the
// same number of points at random.
TEST(Optimiser, FindsTheKnownLeastValuesWhereRandomPointsDoNot) {
  for (const Known& known : kKnown)
    for (std::uint64_t key = 1; key <= 3; ++key) {
      const OptimiserOptions options{known.dimensions, 2000, key};
      const double missed = look(known.function, options).least - known.least;  // tidy: unit none
      const double random =
          look(known.function, options, true).least - known.least;  // tidy: unit none
      EXPECT_LT(missed, 1e-3) << known.name << ", key " << key;
      EXPECT_LT(missed, random) << known.name << ", key " << key;
    }
}

TEST(Optimiser, JudgesAsManyPointsAsItWasGivenPasses) {
  for (const std::size_t passes : {1u, 3u, 4u, 7u, 200u})
    for (const bool at_random : {false, true})
      EXPECT_EQ(look(branin, {2, passes, 5}, at_random).points.size(), passes);
}

TEST(Optimiser, TheSameKeyGivesTheSamePointsAndAnotherOneOthers) {
  for (const bool at_random : {false, true}) {
    const Found once = look(hartman, {6, 300, 1}, at_random);
    EXPECT_EQ(once.points, look(hartman, {6, 300, 1}, at_random).points);
    EXPECT_NE(once.points, look(hartman, {6, 300, 2}, at_random).points);
  }
}

// The control is a uniform sample: a mean has a standard error of 1/sqrt(12 n) about 1/2.
TEST(Optimiser, TheControlIsUniform) {
  const Found drawn = look(branin, {2, 2000, 1}, true);
  for (const std::size_t axis : {0u, 1u}) {
    double sum_ratio = 0.0;
    for (const Point& point : drawn.points) sum_ratio += point[axis];
    EXPECT_NEAR(sum_ratio / 2000.0, 0.5, 5.0 / std::sqrt(12.0 * 2000.0));
  }
}

TEST(Optimiser, EndsWhereItIsEnoughAndPassesErrorsOn) {
  std::size_t rounds = 0;
  sim::search::optimise({3, 1000, 1}, [&](const std::vector<Point>& points) {
    return ++rounds == 5 ? std::vector<double>{} : std::vector<double>(points.size(), 1.0);
  });
  EXPECT_EQ(rounds, 5u);
  EXPECT_THROW(sim::search::optimise({3, 1000, 1},
                                     [](const auto&) -> std::vector<double> {
                                       throw std::runtime_error("the bench failed");
                                     }),
               std::runtime_error);
}

// Where nothing tells two points apart, the passes are spent and the search ends.
TEST(Optimiser, AFlatFunctionEndsToo) {
  EXPECT_EQ(look([](const Point&) { return 1.0; }, {4, 500, 1}).points.size(), 500u);
}

}  // namespace
