// Words in the plots of a run's report: none leaves its drawing, none overlaps another. A letter of
// the page's typeface is on average half as wide as it is high (Liberation Sans; measured on
// screen, no source), so a word's place follows from its anchor, size and length.
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <regex>
#include <string>
#include <vector>

#include "sim/study/run/drive_report.h"
#include "sim/study/run/plots.h"
#include "tests/support/example_result.h"

namespace {

constexpr double kLetter_ratio = 0.5;

struct Words {
  double from_px = 0.0, to_px = 0.0, foot_px = 0.0, size_px = 0.0;
  std::string text;
};

/// The level words of one drawing; turned words are left out.
std::vector<Words> words_of(const std::string& svg) {
  static const std::regex kText(
      "<text x=\"([-0-9.]+)\" y=\"([-0-9.]+)\" font-size=\"([0-9.]+)\"([^>]*)>([^<]*)</text>");
  std::vector<Words> all;
  for (auto at = std::sregex_iterator(svg.begin(), svg.end(), kText); at != std::sregex_iterator();
       ++at) {
    const std::string more = (*at)[4];
    if (more.find("rotate") != std::string::npos) continue;
    Words one{.foot_px = std::stod((*at)[2]), .size_px = std::stod((*at)[3]), .text = (*at)[5]};
    const double width_px = static_cast<double>(one.text.size()) * one.size_px * kLetter_ratio;
    one.from_px = std::stod((*at)[1]);
    if (more.find("\"middle\"") != std::string::npos) one.from_px -= 0.5 * width_px;
    if (more.find("\"end\"") != std::string::npos) one.from_px -= width_px;
    one.to_px = one.from_px + width_px;
    all.push_back(one);
  }
  return all;
}

void expect_legible(const std::string& svg) {
  std::smatch box;
  ASSERT_TRUE(std::regex_search(svg, box, std::regex("viewBox=\"0 0 ([0-9.]+) ([0-9.]+)\"")));
  const std::vector<Words> all = words_of(svg);
  EXPECT_FALSE(all.empty());
  for (std::size_t i = 0; i < all.size(); ++i) {
    const Words& one = all[i];
    EXPECT_GT(one.from_px, -2.0) << one.text;
    EXPECT_LT(one.to_px, std::stod(box[1]) + 2.0) << one.text;
    EXPECT_LT(one.foot_px, std::stod(box[2])) << one.text;
    for (std::size_t k = 0; k < i; ++k) {
      const bool one_line =
          std::abs(one.foot_px - all[k].foot_px) < 0.8 * std::min(one.size_px, all[k].size_px);
      EXPECT_FALSE(one_line && one.from_px + 1.0 < all[k].to_px && all[k].from_px + 1.0 < one.to_px)
          << one.text << " lies over " << all[k].text;
    }
  }
}

TEST(PlotWords, TheKeyOfTheFurrowLiesOverNothing) {
  for (const sim::output::Units units : {sim::output::Units::kMetric, sim::output::Units::kUs}) {
    const sim::run::FurrowPicture picture = sim::run::furrow_picture(tests::example_run(), units);
    expect_legible(picture.drawing.inline_svg("furrow", "", ""));
  }
}

TEST(PlotWords, ADriveIsLegible) {
  sim::run::RunResult result;
  result.scenario.travel.profile = {{0.0, 1.0, 0.1}, {40.0, 4.0, -0.1}};
  result.summary.simulated_s = 40.0 * result.scenario.row.count;
  for (const sim::output::Units units : {sim::output::Units::kMetric, sim::output::Units::kUs})
    expect_legible(sim::run::drive_svg(result, true, units));
}

}  // namespace
