// The general integrator against problems whose end values are printed, and events whose instants
// are known.
//
// Source   DETEST set of non-stiff problems (T. E. Hull et al. 1972; end values as the Toronto
//          test set prints them, t = 20); van der Pol E2 likewise; the bouncing ball is mechanics:
//          t1 = sqrt(2 h / g), t_{k+1} = t_k + 2 e^k t1
#include <gtest/gtest.h>

#include <array>
#include <cmath>
#include <vector>

#include "model/integrate.h"

namespace model {
namespace {

constexpr Tolerance kTight{.absolute_ratio = 1e-12, .relative_ratio = 1e-10};

template <std::size_t N, class Rate>
std::array<double, N> at_twenty(std::array<double, N> y, const Rate& rate) {
  const double reached_s =
      integrate_until_s(y, 20.0, rate, [](const std::array<double, N>&) { return 1.0; }, kTight);
  EXPECT_EQ(reached_s, 20.0);
  return y;
}

// 100 times the relative tolerance of one step, of the size of the solution along the way.
constexpr double kAllowed_ratio = 100.0 * 1e-10;

using One = std::array<double, 1>;
using Two = std::array<double, 2>;
using Three = std::array<double, 3>;
using Four = std::array<double, 4>;

TEST(Integrator, A1Decay) {
  const auto y = at_twenty<1>({1.0}, [](const One& at, One& out) { out[0] = -at[0]; });
  EXPECT_NEAR(y[0], 2.061153353012535e-09, 1e-12);
}

TEST(Integrator, A2Root) {
  const auto y =
      at_twenty<1>({1.0}, [](const One& at, One& out) { out[0] = -0.5 * at[0] * at[0] * at[0]; });
  EXPECT_NEAR(y[0], 2.182178902359887e-01, kAllowed_ratio);
}

TEST(Integrator, A3Oscillating) {
  const auto y = at_twenty<2>(
      {1.0, 0.0}, [](const Two& at, Two& out) { out = {at[0] * std::cos(at[1]), 1.0}; });
  EXPECT_NEAR(y[0], 2.491650271850414, 2.7 * kAllowed_ratio);
}

TEST(Integrator, A4Logistic) {
  const auto y = at_twenty<1>(
      {1.0}, [](const One& at, One& out) { out[0] = 0.25 * at[0] * (1.0 - at[0] / 20.0); });
  EXPECT_NEAR(y[0], 17.73016648131483, 20.0 * kAllowed_ratio);
}

TEST(Integrator, A5Spiral) {
  const auto y = at_twenty<2>(
      {4.0, 0.0}, [](const Two& at, Two& out) { out = {(at[0] - at[1]) / (at[0] + at[1]), 1.0}; });
  EXPECT_NEAR(y[0], -.7887826688964196, 10.0 * kAllowed_ratio);
}

TEST(Integrator, B1PredatorPrey) {
  const auto y = at_twenty<2>({1.0, 3.0}, [](const Two& at, Two& out) {
    out = {2.0 * (at[0] - at[0] * at[1]), -(at[1] - at[0] * at[1])};
  });
  EXPECT_NEAR(y[0], .6761876008576667, 10.0 * kAllowed_ratio);
  EXPECT_NEAR(y[1], .1860816099640036, 10.0 * kAllowed_ratio);
}

TEST(Integrator, B5RigidBody) {
  const auto y = at_twenty<3>({0.0, 1.0, 1.0}, [](const Three& at, Three& out) {
    out = {at[1] * at[2], -at[0] * at[2], -0.51 * at[0] * at[1]};
  });
  EXPECT_NEAR(y[0], -.9396570798729192, kAllowed_ratio);
  EXPECT_NEAR(y[1], -.3421177754000779, kAllowed_ratio);
  EXPECT_NEAR(y[2], .7414126596199957, kAllowed_ratio);
}

// Two-body orbits of eccentricity .1 and .9; the second passes its centre closely and amplifies
// every error.
std::array<double, 4> orbit(double eccentricity) {
  const double speed = std::sqrt((1.0 + eccentricity) / (1.0 - eccentricity));
  return at_twenty<4>({1.0 - eccentricity, 0.0, 0.0, speed}, [](const Four& at, Four& out) {
    const double r2 = at[0] * at[0] + at[1] * at[1];
    const double r3 = r2 * std::sqrt(r2);
    out = {at[2], at[3], -at[0] / r3, -at[1] / r3};
  });
}

TEST(Integrator, D1NearlyRoundOrbit) {
  const auto y = orbit(0.1);
  const std::array<double, 4> wanted{.2198835352008397, .9427076846341813, -.9787659841058176,
                                     .3287977990962036};
  for (std::size_t i = 0; i < 4; ++i) EXPECT_NEAR(y[i], wanted[i], kAllowed_ratio);
}

TEST(Integrator, D5LongOrbit) {
  const auto y = orbit(0.9);
  const std::array<double, 4> wanted{-1.295266250987574, .4003938963792321, -.6775390924707566,
                                     -.1270838154278686};
  for (std::size_t i = 0; i < 4; ++i) EXPECT_NEAR(y[i], wanted[i], 100.0 * kAllowed_ratio);
}

TEST(Integrator, E2VanDerPol) {
  const auto y = at_twenty<2>({2.0, 0.0}, [](const Two& at, Two& out) {
    out = {at[1], (1.0 - at[0] * at[0]) * at[1] - at[0]};
  });
  EXPECT_NEAR(y[0], 2.008149762174948, 10.0 * kAllowed_ratio);
  EXPECT_NEAR(y[1], -.04250887527320057, 10.0 * kAllowed_ratio);
}

// F2: y' = 55 - 1.5 y while int(t) is even, 55 - .5 y while odd; 110. The switches are known, so
// each is a span of its own.
TEST(Integrator, F2KnownSwitches) {
  One y{110.0};
  for (int second = 0; second < 20; ++second) {
    const double pull = second % 2 == 0 ? 1.5 : 0.5;
    integrate_until_s(
        y, 1.0, [pull](const One& at, One& out) { out[0] = 55.0 - pull * at[0]; },
        [](const One&) { return 1.0; }, kTight);
  }
  EXPECT_NEAR(y[0], 70.03731057008607, 110.0 * kAllowed_ratio);
}

// h = 1, e = 0.5, g = 9.81: first contact at 0.451524 s, rest at t1 (1 + e)/(1 - e) = 1.354571 s
// (computed outside).
TEST(Integrator, BouncesAreLocated) {
  Two ball{1.0, 0.0};
  const auto fall = [](const Two& at, Two& out) { out = {at[1], -9.81}; };
  const auto above = [](const Two& at) { return at[0]; };
  const double first_s = std::sqrt(2.0 / 9.81);
  EXPECT_NEAR(first_s, .451524, 5e-7);
  double now_s = 0.0;
  double wanted_s = first_s;
  double power = 1.0;
  for (int bounce = 0; bounce < 20; ++bounce) {
    now_s += integrate_until_s(ball, 2.0, fall, above, kTight);
    EXPECT_NEAR(now_s, wanted_s, 1e-9) << "bounce " << bounce;
    ball = {0.0, -0.5 * ball[1]};
    power *= 0.5;
    wanted_s += 2.0 * power * first_s;
  }
  EXPECT_NEAR(now_s, 1.354571, 1e-5);
}

}  // namespace
}  // namespace model
