// A tuned table and trims come back from their text to the bit, and a text that is not whole gives
// nothing.
#include "sim/study/tune/kept_text.h"

#include <gtest/gtest.h>

#include <cmath>
#include <cstring>
#include <limits>

namespace {

/// Values of every kind that a table may hold, with no two alike. INVENTED.
sim::tune::TunedTable example_table() {
  sim::tune::TunedTable tuned;
  tuned.table.delay_time_us = -12'345;
  tuned.table.points = SILLION_TABLE_POINTS;
  for (int k = 0; k < SILLION_TABLE_POINTS; ++k) {
    tuned.table.flow_mm3ps[k] = 1000 * k;
    tuned.table.lag_us[k] = -k;
  }
  tuned.table.rest.points = 1;
  tuned.table.check_sum = 0xfedcba98u;
  tuned.delay_time_s = 0.1 + 0.2;  // no short decimal says it
  tuned.delay_distance_m = -0.0;
  tuned.lead_s = std::numeric_limits<double>::denorm_min();
  tuned.lag_s = std::nan("");
  tuned.largest_flow_m3ps = HUGE_VAL;
  tuned.serves_rate = false;
  tuned.lift_settable = true;
  tuned.fit.step_ns = 68'027;
  tuned.fit.hose = {.whole = 17, .part_ratio = 0.3};
  tuned.fit.tube_travel_time_s = 1.0 / 3.0;
  return tuned;
}

bool same_bits(double a, double b) { return std::memcmp(&a, &b, sizeof a) == 0; }

TEST(KeptText, ATableComesBackToTheBit) {
  const sim::tune::TunedTable tuned = example_table();
  const auto back = sim::tune::table_of_text(sim::tune::table_text(tuned));
  ASSERT_TRUE(back.has_value());
  EXPECT_EQ(std::memcmp(&back->table, &tuned.table, sizeof tuned.table), 0);
  EXPECT_TRUE(same_bits(back->delay_time_s, tuned.delay_time_s));
  EXPECT_TRUE(same_bits(back->delay_distance_m, tuned.delay_distance_m));
  EXPECT_TRUE(same_bits(back->lead_s, tuned.lead_s));
  EXPECT_TRUE(same_bits(back->lag_s, tuned.lag_s));
  EXPECT_TRUE(same_bits(back->largest_flow_m3ps, tuned.largest_flow_m3ps));
  EXPECT_TRUE(same_bits(back->fit.tube_travel_time_s, tuned.fit.tube_travel_time_s));
  EXPECT_EQ(back->serves_rate, tuned.serves_rate);
  EXPECT_EQ(back->servable, tuned.servable);
  EXPECT_EQ(back->lift_settable, tuned.lift_settable);
  EXPECT_EQ(back->fit.step_ns, tuned.fit.step_ns);
  EXPECT_EQ(back->fit.hose.whole, tuned.fit.hose.whole);
  // The text holds every member, so a member that is not read back would differ in the second text.
  EXPECT_EQ(sim::tune::table_text(*back), sim::tune::table_text(tuned));
}

// The text names each member. A member that is added to TunedTable and not to the text would come
// back as its default; it changes the size that all members of the text take together.
TEST(KeptText, NoMemberOfATableIsLeftOut) {
  struct AllMembers {
    sillion_attachment_table table;
    double reals[11];  // tidy: unit several
    bool flags[3];
    double spring_rate_needed_npm;
    model::RowFit fit;
  };
  EXPECT_EQ(sizeof(sim::tune::TunedTable), sizeof(AllMembers));
}

TEST(KeptText, ATextThatIsNotWholeGivesNoTable) {
  const std::string text = sim::tune::table_text(example_table());
  for (std::size_t length = 0; length < text.size(); ++length)
    EXPECT_FALSE(sim::tune::table_of_text(text.substr(0, length)).has_value()) << length;
  EXPECT_FALSE(sim::tune::table_of_text(text + "more 1\n").has_value());
  std::string renamed = text;
  renamed.replace(renamed.find("lead_s"), 6, "lead_m");
  EXPECT_FALSE(sim::tune::table_of_text(renamed).has_value());
  std::string broken = text;
  broken.replace(broken.find("lead_s ") + 7, 1, "g");
  EXPECT_FALSE(sim::tune::table_of_text(broken).has_value());
}

TEST(KeptText, TrimsComeBackForAsManyRows) {
  const std::vector<int> trims_um = {-1234, 0, 77};
  const std::string text = sim::tune::trims_text(trims_um);
  EXPECT_EQ(sim::tune::trims_of_text(text, 3), trims_um);
  EXPECT_FALSE(sim::tune::trims_of_text(text, 2).has_value());
  EXPECT_FALSE(sim::tune::trims_of_text(text, 4).has_value());
  EXPECT_FALSE(sim::tune::trims_of_text("trim_um 1.5\n", 1).has_value());
  EXPECT_FALSE(sim::tune::trims_of_text("trim_um 99999999999\n", 1).has_value());
}

}  // namespace
