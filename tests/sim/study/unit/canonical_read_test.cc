// A canonical text that is read back is the same scenario to the last bit.
#include "sim/study/unit/canonical_read.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "sim/scenario/loader.h"
#include "sim/text/input_error.h"
#include "tests/sim/demo_scenario.h"

namespace {

sim::scenario::Scenario without_lists(std::vector<std::string> sets = {}) {
  sim::scenario::Scenario scenario = sim_test::demo(std::move(sets));
  scenario.requirements.clear();
  return scenario;
}

TEST(CanonicalRead, GivesEveryValueBack) {
  sim::scenario::Scenario scenario = without_lists(
      {"travel.speed=\"11.3 km/h\"", "liquid.temperature=\"17.7 C\"", "solver.form=\"dense\""});
  scenario.attachment.hose.creep = {{1e-10, 50e-3}, {3e-11, 0.7}};
  const std::string text = sim::scenario::canonical_text(scenario);
  const sim::scenario::Scenario back = sim::unit::read_canonical(text);
  EXPECT_EQ(sim::scenario::canonical_text(back), text);
  EXPECT_EQ(back.travel.speed_mps, scenario.travel.speed_mps);
  EXPECT_EQ(back.liquid.liquid.viscosity_pas, scenario.liquid.liquid.viscosity_pas);
  EXPECT_EQ(back.attachment.name, scenario.attachment.name);
  ASSERT_EQ(back.attachment.hose.creep.size(), 2u);
  EXPECT_EQ(back.attachment.hose.creep[1].time_s, 0.7);
}

TEST(CanonicalRead, RefusesWhatItDoesNotTakeUp) {
  const std::string text = sim::scenario::canonical_text(without_lists());
  const auto refusal = [](const std::string& damaged) -> std::string {
    try {
      sim::unit::read_canonical(damaged);
    } catch (const sim::text::InputError& error) {
      return error.what();
    }
    return {};
  };
  EXPECT_EQ(refusal(text), "");
  EXPECT_THAT(refusal(sim::scenario::canonical_text(sim_test::demo())),
              testing::HasSubstr("require.00000000: is not taken up"));
  EXPECT_THAT(refusal(text + "travel.speed = 3\n"), testing::HasSubstr("stands twice"));
  EXPECT_THAT(refusal("travel.speed = fast\n"), testing::HasSubstr("`fast` is no number"));
  EXPECT_THAT(refusal("travel.speed\n"), testing::HasSubstr("is no KEY = VALUE"));
}

}  // namespace
