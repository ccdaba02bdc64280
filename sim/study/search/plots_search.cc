// The picture of a search: the smallest margin so far against the number of passes.
#include <algorithm>
#include <cmath>

#include "sim/output/axes.h"
#include "sim/study/search/search_report.h"

namespace sim::search {
namespace {

constexpr double kWidth_px = 760.0;
constexpr double kHeight_px = 260.0;
constexpr double kLeft_px = 70.0;
constexpr double kRight_px = 740.0;
constexpr double kTop_px = 26.0;
constexpr double kFoot_px = 210.0;
// Margins beyond these would hide what happens at the limit.
constexpr double kLowest_ratio = -1.0;
constexpr double kHighest_ratio = 1.0;

/// The least margin after each pass, as a staircase.
std::vector<output::Point> stairs_of(const Method& method, const output::Axis& across,
                                     const output::Axis& up) {
  std::vector<output::Point> stairs;
  double least_ratio = kHighest_ratio;
  for (std::size_t k = 0; k < method.passes.size(); ++k) {
    const double before_px = up.px(least_ratio);
    least_ratio =
        std::max(kLowest_ratio, std::min(least_ratio, method.passes[k].judged.margin_ratio));
    const double x_px = across.px(static_cast<double>(k + 1));
    if (k == 0 || up.px(least_ratio) != before_px) {
      stairs.push_back({x_px, before_px});
      stairs.push_back({x_px, up.px(least_ratio)});
    }
  }
  stairs.push_back({across.px(static_cast<double>(method.passes.size())), up.px(least_ratio)});
  return stairs;
}

}  // namespace

std::string margin_svg(const SearchResult& result) {
  const std::size_t most =
      std::max({std::size_t{2}, result.optimiser.passes.size(), result.random.passes.size()});
  const output::Axis across{1.0, static_cast<double>(most), kLeft_px, kRight_px, {"", 1.0, 0.0, 0}};
  const output::Axis up{kLowest_ratio, kHighest_ratio, kFoot_px, kTop_px,
                        output::shown_unit(output::Measure::kShare, output::Units::kMetric)};
  output::Drawing drawing(kWidth_px, kHeight_px);
  output::draw_x_axis(drawing, across, kFoot_px, kTop_px, "passes", 8);
  output::draw_y_ticks(drawing, up, kLeft_px, kRight_px, 4);
  drawing.text({14.0, 0.5 * (kTop_px + kFoot_px)}, "smallest margin, % of the limit",
               {12.0, output::Anchor::kMiddle, output::kInk, false, true});
  drawing.line({kLeft_px, up.px(0.0)}, {kRight_px, up.px(0.0)}, {output::kMuted, 1.5});
  drawing.text({kRight_px - 4.0, up.px(0.0) + 14.0}, "below this line: violated",
               {11.0, output::Anchor::kEnd, output::kMuted});
  output::open_panel(drawing, across, "passes", up, "smallest margin");
  drawing.name("at random");
  drawing.path(stairs_of(result.random, across, up), {output::kOrange, 1.6, "5 3"});
  drawing.name("optimiser");
  drawing.path(stairs_of(result.optimiser, across, up), {output::kBlue, 1.8});
  drawing.name("");
  drawing.close_group();
  drawing.text({kRight_px - 4.0, 14.0}, "solid: optimiser; dashed: at random",
               {11.0, output::Anchor::kEnd, output::kMuted});
  return drawing.inline_svg("search-margin", "Smallest margin so far against the number of passes",
                            "Two staircases that only fall: the optimiser's and that of points "
                            "drawn at random. Margins beyond the limit by more than once the "
                            "limit are drawn at the edge.");
}

}  // namespace sim::search
