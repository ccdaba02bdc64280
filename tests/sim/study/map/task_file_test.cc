// The task data of ISO 11783-10, read back by Python's own modules after the standard's layout.
#include "sim/study/map/task_file.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "tests/support/made_result.h"
#include "tests/support/map_reader.h"

namespace {

using support::figure_of;
using support::ScratchFolder;

constexpr support::MadeResult kMade{.rows = 4, .seconds = 50, .bands_in_second = 20};

std::string figures_of(const support::MadeResult& made) {
  const ScratchFolder scratch;
  support::write_made_result(scratch.path() / "run", made);
  const sim::map::KeptRun run = sim::map::read_kept_run(scratch.path() / "run");
  sim::output::StreamedFolder folder(scratch.path() / "map");
  sim::map::write_task_file(run, sim::map::FieldPlace::laid(run, {.origin = {45.5, -93.5}}),
                            folder);
  folder.finish();
  return support::task_figures(scratch.path() / "map");
}

TEST(TaskFile, RatesTimesWidthAndWayAreWhatWasApplied) {
  if (!support::has_python()) GTEST_SKIP() << "python3 is not installed";
  const std::string figures = figures_of(kMade);
  const double volume_m3 = std::stod(figure_of(figures, "rate_volume_m3"));
  EXPECT_NEAR(volume_m3, kMade.volume_m3(), kMade.volume_m3() * 1e-3) << figures;
  EXPECT_EQ(figure_of(figures, "records"), "51");
  EXPECT_EQ(figure_of(figures, "rows"), "4");
  // 4 rows of 50 * 20 bands of 250 to 253 mm3: 1006 ml
  EXPECT_EQ(figure_of(figures, "total_ml"), "1006");
  EXPECT_EQ(figure_of(figures, "task_ml"), "1006");
}

// Rate in the band times width and way would give 3.3 times the volume here, so it is in no data
// element: 1 and 2 are field averages, 117 the way, 351 the total.
TEST(TaskFile, HasNoElementThatMultipliesTheTotal) {
  if (!support::has_python()) GTEST_SKIP() << "python3 is not installed";
  const std::string figures = figures_of(kMade);
  EXPECT_EQ(figure_of(figures, "ddis"), "[1, 2, 117, 351]");
}

// Position status 8 is the simulate mode; the clock starts at the format's own zero.
TEST(TaskFile, SaysThatItIsSimulated) {
  if (!support::has_python()) GTEST_SKIP() << "python3 is not installed";
  const std::string figures = figures_of(kMade);
  EXPECT_EQ(figure_of(figures, "statuses"), "[8]");
  EXPECT_EQ(figure_of(figures, "designators"), "True");
  EXPECT_EQ(figure_of(figures, "first_day"), "0");
  EXPECT_EQ(figure_of(figures, "first_ms"), "0");
  EXPECT_EQ(figure_of(figures, "last_ms"), "50000");
  EXPECT_NEAR(std::stod(figure_of(figures, "first_north")), 45.5, 1e-7);
  EXPECT_NEAR(std::stod(figure_of(figures, "first_east")), -93.5, 1e-7);
}

// 2018-08-20 is day 14111 from 1980-01-01 (`date` of coreutils); past midnight is the next.
TEST(TaskFile, InstantsGoOnPastMidnight) {
  EXPECT_EQ(sim::map::instant_text({}, 0.0), "1980-01-01T00:00:00.000Z");
  EXPECT_EQ(sim::map::instant_text({14111, 86399.5}, 1.0), "2018-08-21T00:00:00.500Z");
}

}  // namespace
