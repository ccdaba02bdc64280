// Measured spacings: 0 is two seeds at one place, and a file of zeros alone says nothing.
#include "sim/scenario/spacings_csv.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <fstream>

#include "sim/text/input_error.h"
#include "tests/support/scratch_folder.h"

namespace {

using ::testing::ElementsAre;
using ::testing::HasSubstr;

class SpacingsCsv : public testing::Test {
 protected:
  std::vector<double> read(const char* text) const {
    const std::filesystem::path file = scratch_.path() / "measured.csv";
    std::ofstream(file) << text;
    return sim::scenario::read_spacings_m(file);
  }
  std::string refusal(const char* text) const {
    try {
      read(text);
    } catch (const sim::text::InputError& error) {
      return error.what();
    }
    return "";
  }
  ScratchFolder scratch_;
};

TEST_F(SpacingsCsv, ADoubleAtOnePlaceIsData) {
  EXPECT_THAT(read("spacing_mm\n150\n0\n149.5\n"), ElementsAre(0.15, 0.0, 0.1495));
}

TEST_F(SpacingsCsv, BelowZeroAndNothingButZerosAreRefused) {
  EXPECT_THAT(refusal("spacing_mm\n150\n-1\n"), HasSubstr(":3"));
  EXPECT_THAT(refusal("spacing_mm\n150\n-1\n"), HasSubstr("from 0 m"));
  EXPECT_THAT(refusal("spacing_mm\n0\n0\n"), HasSubstr("no spacing above 0"));
}

}  // namespace
