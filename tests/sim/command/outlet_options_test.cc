// Lists of `outlet` as typed: order and repeats do not matter, and for a mistake the option and its
// valid values are named.
#include "sim/command/outlet_options.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "sim/scenario/loader.h"

namespace {

using ::testing::AllOf;
using ::testing::ElementsAre;
using ::testing::HasSubstr;

std::string refusal(const sim::command::OutletWords& words) {
  try {
    sim::command::outlet_options(words);
  } catch (const sim::text::InputError& error) {
    return error.what();
  }
  return "not refused";
}

}  // namespace

TEST(OutletOptions, ListsAreSortedAndTakenOnce) {
  const sim::outlet::OutletOptions options = sim::command::outlet_options(
      {.bores = "1.6 mm, 1.2 mm,1.6 mm", .walls = "polyamide 12, as stated"});
  EXPECT_THAT(options.axes.bores_m, ElementsAre(1.2e-3, 1.6e-3));
  EXPECT_THAT(options.axes.tube_walls, ElementsAre("as stated", "polyamide 12"));
  EXPECT_TRUE(options.axes.tube_bores_m.empty());
}

// ASTM E11: No. 50 is 300 um, No. 80 180 um, No. 100 150 um (older editions 297, 177, 149).
TEST(OutletOptions, StrainersAreThoseOfTheStandard) {
  EXPECT_DOUBLE_EQ(sim::command::outlet_options({}).strainer.opening_m, 300e-6);
  EXPECT_DOUBLE_EQ(sim::command::outlet_options({.strainer = "80"}).strainer.opening_m, 180e-6);
  EXPECT_DOUBLE_EQ(sim::command::outlet_options({.strainer = "100"}).strainer.opening_m, 150e-6);
  EXPECT_THAT(refusal({.strainer = "81"}),
              AllOf(HasSubstr("--strainer"), HasSubstr("nearest valid name: `80`")));
}

TEST(OutletOptions, MistakesNameTheOptionAndTheNearest) {
  EXPECT_THAT(refusal({.bores = "-1 mm"}),
              AllOf(HasSubstr("--bores"), HasSubstr("nearest workable: \"0.1 mm\"")));
  EXPECT_THAT(refusal({.bores = "3 m"}), HasSubstr("nearest workable: \"20 mm\""));
  EXPECT_THAT(refusal({.bores = "1.2"}), HasSubstr("--bores"));
  EXPECT_THAT(refusal({.tube_bores = "4 mm,,6 mm"}), HasSubstr("an entry of the list is empty"));
  EXPECT_THAT(refusal({.walls = "polyamid 12"}),
              AllOf(HasSubstr("--walls"), HasSubstr("nearest valid name: `polyamide 12`")));
  EXPECT_THAT(refusal({.stop = "-5 s"}), HasSubstr("--stop"));
  EXPECT_THAT(refusal({.tube_lengths = "nan m"}), HasSubstr("--tube-lengths"));
}
