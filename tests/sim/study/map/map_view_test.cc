#include "sim/study/map/map_view.h"

#include <gtest/gtest.h>

#include <cmath>
#include <nlohmann/json.hpp>

#include "sim/text/input_error.h"
#include "tests/support/made_result.h"
#include "tests/support/run_program.h"

namespace {

using sim::map::FieldPlace;

constexpr support::MadeResult kMade{.rows = 2, .seconds = 30, .bands_in_second = 5};

struct Made {
  support::ScratchFolder scratch;
  sim::map::KeptRun run;

  Made() {
    support::write_made_result(scratch.path() / "run", kMade);
    run = sim::map::read_kept_run(scratch.path() / "run");
  }
};

// The made pass goes north at 4 m/s with rows 0.75 m apart, so each place is known without the
// program: row r at (r - 0.5) 0.75 m to the east, second s from 4 s to 4 (s + 1) m.
TEST(MapView, CellsLieWhereTheRowsWere) {
  const Made made;
  const nlohmann::json view = nlohmann::json::parse(
      sim::map::cells_json(made.run, FieldPlace::laid(made.run, {}), 0.0, "sillion explain x"));
  ASSERT_EQ(view["cells"].size(), 60U);
  EXPECT_EQ(view["explain"], "sillion explain x");
  EXPECT_NEAR(view["width_m"].get<double>(), 0.75, 1e-9);
  for (const nlohmann::json& cell : view["cells"]) {
    const double row = cell[0], second = cell[1];
    EXPECT_NEAR(cell[2].get<double>(), (row - 0.5) * 0.75, 2e-4);
    EXPECT_NEAR(cell[3].get<double>(), 4.0 * second, 2e-4);
    EXPECT_NEAR(cell[4].get<double>(), (row - 0.5) * 0.75, 2e-4);
    EXPECT_NEAR(cell[5].get<double>(), 4.0 * (second + 1.0), 2e-4);
    EXPECT_NEAR(cell[10].get<double>(), 5.0 * kMade.dose_m3(static_cast<int>(row)), 1e-15);
    EXPECT_EQ(cell[13], 5);
  }
}

TEST(MapView, BandsOfAStretchLieBesideTheirSeeds) {
  const Made made;
  const nlohmann::json view = nlohmann::json::parse(
      sim::map::bands_json(made.run, FieldPlace::laid(made.run, {}), 10.0, 12.0));
  ASSERT_EQ(view["bands"].size(), 2U * 2U * 5U);
  for (const nlohmann::json& band : view["bands"]) {
    const double open_s = band[8];
    EXPECT_GE(open_s, 10.0);
    EXPECT_LT(open_s, 12.0);
    EXPECT_NEAR(band[5].get<double>() - band[3].get<double>(), 0.06, 2e-4);  // its length
    EXPECT_NEAR(band[7].get<double>(), 4.0 * open_s, 2e-4);                  // its seed
    EXPECT_NEAR(0.5 * (band[3].get<double>() + band[5].get<double>()) - band[7].get<double>(),
                0.002, 2e-4);
    EXPECT_NEAR(band[12].get<double>(), band[11].get<double>() / (0.06 * 0.75), 1e-12);
  }
}

// 30 s at 4 m/s are 120 m with a machine of 1.5 m: pieces of sqrt(2 120 1.5) = 19 m, rounded up.
TEST(MapView, AStraightPassBecomesAFieldTwiceAsLongAsWide) {
  const Made made;
  EXPECT_EQ(sim::map::usual_pass_length_m(made.run), 19.0);
  sim::map::FieldLayout layout;
  layout.pass_length_m = 19.0;
  const nlohmann::json view = nlohmann::json::parse(
      sim::map::cells_json(made.run, FieldPlace::laid(made.run, layout), 19.0, ""));
  double most_east_m = 0.0, most_north_m = 0.0;
  for (const nlohmann::json& cell : view["cells"]) {
    most_east_m = std::max(most_east_m, cell[2].get<double>());
    most_north_m = std::max(most_north_m, cell[3].get<double>());
  }
  EXPECT_NEAR(most_east_m, 6.0 * 1.5 + 0.375, 1e-3);  // 120 m are six passes and a piece
  EXPECT_LE(most_north_m, 19.0 + 1e-3);
}

TEST(MapView, MoreBandsThanABrowserDrawsAreRefusedInWords) {
  support::ScratchFolder scratch;
  support::write_made_result(scratch.path() / "run",
                             {.rows = 2, .seconds = 40, .bands_in_second = 80});
  const sim::map::KeptRun run = sim::map::read_kept_run(scratch.path() / "run");
  EXPECT_THROW(sim::map::bands_json(run, FieldPlace::laid(run, {}), 0.0, 40.0),
               sim::text::InputError);
}

}  // namespace
