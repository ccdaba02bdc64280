// The general integrator against problems whose end values are printed, and events whose instants
// are known.
//
// Source   DETEST set of non-stiff problems (T. E. Hull et al. 1972; end values as the Toronto
//          test set prints them, t = 20); van der Pol E2 likewise; the bouncing ball is mechanics:
//          t1 = sqrt(2 h / g), t_{k+1} = t_k + 2 e^k t1. The stiff sets (Robertson, HIRES, OREGO,
//          van der Pol 1e-6) do not apply: the pair is explicit and claims no stiffness
#include <gtest/gtest.h>

#include <algorithm>
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

TEST(Integrator, B4Torus) {
  const auto y = at_twenty<3>({3.0, 0.0, 0.0}, [](const Three& at, Three& out) {
    const double r = std::sqrt(at[0] * at[0] + at[1] * at[1]);
    out = {-at[1] - at[0] * at[2] / r, at[0] - at[1] * at[2] / r, at[0] / r};
  });
  EXPECT_NEAR(y[0], .9826950928005993, 10.0 * kAllowed_ratio);
  EXPECT_NEAR(y[1], 2.198447081694832, 10.0 * kAllowed_ratio);
  EXPECT_NEAR(y[2], .9129452507276399, 10.0 * kAllowed_ratio);
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

// F problems change their law at every whole second. Time is a state, the event is that it passes
// the next whole second, and the law stays the same until the event is located.
template <class Law>
Three at_twenty_by_events(const Law& law) {
  Three y{0.0, 0.0, 0.0};
  for (int second = 0; second < 20; ++second) {
    const auto rate = [&](const Three& at, Three& out) { law(second, at, out); };
    const auto before = [second](const Three& at) { return second + 1.0 - at[2]; };
    const double span_s = 1.5;  // the event stops it, not the span
    const double reached_s = integrate_until_s(y, span_s, rate, before, kTight);
    EXPECT_LT(reached_s, span_s);
    EXPECT_NEAR(y[2], second + 1.0, 1e-12);
    y[2] = second + 1.0;
  }
  return y;
}

// F1: y'' = .2 y' - (pi^2 + .01) y + 1 while int(t) is even, - 1 while odd.
TEST(Integrator, F1SwitchesLocatedAsEvents) {
  const double pi = std::acos(-1.0);
  const Three y = at_twenty_by_events([pi](int second, const Three& at, Three& out) {
    const double push = second % 2 == 0 ? 1.0 : -1.0;
    out = {at[1], .2 * at[1] - (pi * pi + .01) * at[0] + push, 1.0};
  });
  EXPECT_NEAR(y[0], -12.94460621213470, 40.0 * kAllowed_ratio);
  EXPECT_NEAR(y[1], -2.208575158908672e-15, 40.0 * kAllowed_ratio);
}

// F3: y'' = .01 y' (1 - y^2) - y - |sin(pi t)|: a kink at every whole second.
TEST(Integrator, F3KinksLocatedAsEvents) {
  const double pi = std::acos(-1.0);
  const Three y = at_twenty_by_events([pi](int second, const Three& at, Three& out) {
    const double sign = second % 2 == 0 ? 1.0 : -1.0;
    out = {at[1], .01 * at[1] * (1.0 - at[0] * at[0]) - at[0] - sign * std::sin(pi * at[2]), 1.0};
  });
  EXPECT_NEAR(y[0], -.3726957553088175, 10.0 * kAllowed_ratio);
  EXPECT_NEAR(y[1], -.6230137949234190, 10.0 * kAllowed_ratio);
}

// On y = t the step control takes the whole span at once, so that both events lie in one step: each
// is found, the earlier one first.
TEST(Integrator, TwoEventsInOneStepAreTwo) {
  const auto clock = [](const One&, One& out) { out[0] = 1.0; };
  One y{0.0};
  double limit_s = 0.4;
  const auto either = [&limit_s](const One& at) { return std::min(limit_s - at[0], 0.6 - at[0]); };
  EXPECT_NEAR(integrate_until_s(y, 1.0, clock, either, kTight), 0.4, 1e-12);
  limit_s = 2.0;
  EXPECT_NEAR(integrate_until_s(y, 1.0, clock, either, kTight), 0.2, 1e-12);
  EXPECT_NEAR(y[0], 0.6, 1e-12);
}

// g = 0 at the very end of a span is not yet below zero: the event counts at the start of the next
// span, and only there.
TEST(Integrator, AnEventOnAStepEndCountsOnce) {
  const auto clock = [](const One&, One& out) { out[0] = 1.0; };
  One y{0.0};
  double limit_s = 1.0;
  int events = 0;
  for (int span = 0; span < 3; ++span) {
    const double reached_s = integrate_until_s(
        y, 1.0, clock, [&limit_s](const One& at) { return limit_s - at[0]; }, kTight);
    if (reached_s < 1.0) {
      ++events;
      EXPECT_EQ(span, 1);
      EXPECT_NEAR(reached_s, 0.0, 1e-12);
      limit_s = 100.0;
    }
  }
  EXPECT_EQ(events, 1);
}

// A root that only touches, to within the error of the solution, is no event; one that dips below
// for longer than a step is an event and is located. A dip that lies wholly inside a step is not
// seen: callers keep the spans short (the dense form of a row asks for 10 us).
TEST(Integrator, AGrazingRootIsNoEventADeepOneIs) {
  const auto circle = [](const Two& at, Two& out) { out = {at[1], -at[0]}; };
  for (const double relative : {1e-4, 1e-7, 1e-10}) {
    const Tolerance tolerance{.absolute_ratio = 1e-12, .relative_ratio = relative};
    Two grazing{0.0, 1.0};  // y = sin t: 1 - y touches zero at pi/2
    const double allowance = 100.0 * relative;
    EXPECT_EQ(integrate_until_s(
                  grazing, 3.0, circle,
                  [allowance](const Two& at) { return 1.0 + allowance - at[0]; }, tolerance),
              3.0);
    Two deep{0.0, 1.0};  // 1/2 - y falls below zero at pi/6 for 2.09 s
    EXPECT_NEAR(integrate_until_s(
                    deep, 3.0, circle, [](const Two& at) { return 0.5 - at[0]; }, tolerance),
                std::acos(-1.0) / 6.0, 100.0 * relative);
  }
}

// The step follows the tolerance as its fifth root, so a tolerance 2^5 finer halves it; the error
// of the event's instant must then fall on average by 2^4, the order of the pair's continuous
// output.
TEST(Integrator, EventsConvergeWithTheStep) {
  const double third_zero_s = 2.5 * std::acos(-1.0);  // of cos t, far enough to take many steps
  std::vector<double> errors_s;
  for (const double relative : {1e-4, 1e-4 / 1024.0, 1e-4 / 1048576.0}) {  // step, /4, /16
    Two y{1.0, 0.0};
    double now_s = 0.0;
    double sign = 1.0;
    for (int zero = 0; zero < 3; ++zero) {
      now_s += integrate_until_s(
          y, 10.0, [](const Two& at, Two& out) { out = {at[1], -at[0]}; },
          [&sign](const Two& at) { return sign * at[0]; },
          Tolerance{.absolute_ratio = relative, .relative_ratio = relative});
      sign = -sign;
    }
    errors_s.push_back(std::abs(now_s - third_zero_s));
  }
  EXPECT_LT(errors_s[1], errors_s[0] / 128.0) << "4^3.5";
  EXPECT_LT(errors_s[2], errors_s[1] / 128.0);
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
