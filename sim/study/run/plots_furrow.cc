#include <algorithm>
#include <cmath>

#include "sim/output/axes.h"
#include "sim/study/run/plots.h"

namespace sim::run {
namespace {

constexpr double kWidth_px = 760.0;
constexpr double kLeft_px = 62.0;
constexpr double kRight_px = 752.0;
constexpr double kStrip_m = 1.0;      // of furrow in one strip: a millimetre can be seen
constexpr double kStrip_px = 168.0;   // height of one strip with its seeds and labels
constexpr double kDensity_px = 92.0;  // height of the line density in it
constexpr double kTop_px = 62.0;      // below the key's two lines

struct Stretch {
  std::size_t row = 0;
  double from_m = 0.0;
  int strips = 2;
};

Stretch stretch_of(const RunResult& result) {
  Stretch stretch;
  const std::vector<measure::RowRecord>& rows = result.record.rows;
  for (std::size_t i = rows.size(); i-- > 0;)
    if (!rows[i].density.volume_m3pm.empty()) stretch.row = i;
  if (rows.empty() || rows[stretch.row].seeds.empty()) return stretch;
  const measure::DensityWindow& window = rows[stretch.row].density;
  const std::size_t cells = window.volume_m3pm.size();
  stretch.from_m =
      cells > 0 ? window.from_x_ground_m : rows[stretch.row].seeds.front().rest_x_ground_m - 0.1;
  return stretch;
}

double wanted_density_m3pm(const scenario::Scenario& scenario) {
  return scenario.rate.in_band_m3pm2 * scenario.row.width_m;
}

// The axis reaches twice the wanted line density: where late parcels overtake early ones, a
// millimetre may hold many times as much, and a scale for that would flatten the bands.
double density_reach_m3pm(const RunResult& result) {
  const double wanted_m3pm = wanted_density_m3pm(result.scenario);
  return wanted_m3pm > 0.0 ? 2.0 * wanted_m3pm : 1e-6;
}

void draw_density(output::Drawing& drawing, const measure::RowRecord& row,
                  const output::Axis& x_axis, const output::Axis& y_axis) {
  const measure::DensityWindow& window = row.density;
  std::vector<output::Point> outline{{x_axis.from_px, y_axis.from_px}};
  for (std::size_t i = 0; i < window.volume_m3pm.size(); ++i) {
    const double x_m = window.from_x_ground_m + (static_cast<double>(i) + 0.5) * window.cell_m;
    if (x_axis.holds(x_m))
      outline.push_back({x_axis.px(x_m), y_axis.px(std::min(window.volume_m3pm[i], y_axis.to_si))});
  }
  outline.push_back({x_axis.to_px, y_axis.from_px});
  if (outline.size() > 3) {
    drawing.area(outline, output::between_colours(output::kPaper, output::kBlue, 0.55));
    drawing.name("line density");
    drawing.path(std::span(outline).subspan(1, outline.size() - 2), {output::kBlue, 1.0});
    drawing.name("");
    return;
  }
  // If no density was recorded, each band is drawn as a uniform one of its length and dose.
  for (const measure::BandRecord& band : row.bands) {
    const double length_m = band.end_x_ground_m - band.start_x_ground_m;
    if (!(length_m > 0.0) || band.end_x_ground_m < x_axis.from_si ||
        band.start_x_ground_m > x_axis.to_si)
      continue;
    drawing.box({x_axis.px(std::max(band.start_x_ground_m, x_axis.from_si)), y_axis.from_px},
                {x_axis.px(std::min(band.end_x_ground_m, x_axis.to_si)),
                 y_axis.px(std::min(band.dose_m3 / length_m, y_axis.to_si))},
                output::between_colours(output::kPaper, output::kBlue, 0.55), {output::kBlue, 1.0});
  }
}

void draw_seed(output::Drawing& drawing, const RunResult& result, const measure::SeedRecord& seed,
               const output::Axis& x_axis, const output::Axis& y_axis, output::Units units) {
  const scenario::Scenario& scenario = result.scenario;
  const double half_m = 0.5 * scenario.rate.band_length_m;
  const double wanted_m3pm = wanted_density_m3pm(scenario);
  const double x_m = seed.rest_x_ground_m;
  const double left_px = x_axis.px(std::max(x_m - half_m, x_axis.from_si));
  const double right_px = x_axis.px(std::min(x_m + half_m, x_axis.to_si));
  if (!(right_px > left_px)) return;  // outside the strip, or never came to rest
  drawing.box({left_px, y_axis.from_px}, {right_px, y_axis.px(wanted_m3pm)}, output::kNoFill,
              {output::kInk, 1.0, "4 3"});
  if (!x_axis.holds(x_m)) return;
  const double y_px = y_axis.from_px + 9.0;
  drawing.line({x_axis.px(x_m), y_axis.from_px}, {x_axis.px(x_m), y_px - 5.0},
               {output::kOrange, 1.4});
  drawing.ellipse({x_axis.px(x_m), y_px}, {5.5, 4.0},
                  seed.sensed ? output::kOrange : output::kPaper, {output::kInk, 0.9});
  const bool has_error = std::isfinite(seed.placement_error_m);
  const output::ShownUnit unit = output::shown_unit(output::Measure::kPlace, units);
  std::string label = "no band";
  if (has_error) label = output::shown_number(seed.placement_error_m, unit, unit.decimals);
  if (has_error && seed.placement_error_m > 0.0) label = "+" + label;
  if (!has_error && seed.band >= 0)
    label = seed.status == measure::SeedStatus::kShared ? "shared" : "merged";
  drawing.text({x_axis.px(x_m), y_px + 18.0}, label, {10.5, output::Anchor::kMiddle, output::kInk});
}

/// The number of a seed as seeds.csv counts it.
std::string seed_group(const measure::RowRecord& row, std::size_t index) {
  return " data-seed=\"" + std::to_string(static_cast<std::size_t>(row.first_seed) + index) + "\"";
}

void draw_strip(output::Drawing& drawing, const RunResult& result, const Stretch& stretch,
                int strip, output::Units units) {
  const measure::RowRecord& row = result.record.rows[stretch.row];
  const double ground_px = kTop_px + kDensity_px + kStrip_px * strip;
  const double from_m = stretch.from_m + kStrip_m * strip;
  const output::Axis x_axis{from_m, from_m + kStrip_m, kLeft_px, kRight_px,
                            output::shown_unit(output::Measure::kDistance, units)};
  const output::Axis y_axis{0.0, density_reach_m3pm(result), ground_px, ground_px - kDensity_px,
                            output::shown_unit(output::Measure::kLineDose, units)};
  output::draw_y_ticks(drawing, y_axis, kLeft_px, kRight_px, 4);
  output::open_panel(drawing, x_axis, "place", y_axis, "line density",
                     " data-row=\"" + std::to_string(stretch.row) + "\"");
  draw_density(drawing, row, x_axis, y_axis);
  for (std::size_t index = 0; index < row.seeds.size(); ++index) {
    const double x_m = row.seeds[index].rest_x_ground_m;
    const double half_m = 0.5 * result.scenario.rate.band_length_m;
    if (!(x_m + half_m > x_axis.from_si && x_m - half_m < x_axis.to_si)) continue;
    drawing.open_group(x_axis.holds(x_m) ? seed_group(row, index) : "");
    draw_seed(drawing, result, row.seeds[index], x_axis, y_axis, units);
    drawing.close_group();
  }
  drawing.close_group();
  drawing.line({kLeft_px, ground_px}, {kRight_px, ground_px}, {output::kInk, 1.2});
  output::draw_x_ticks(drawing, x_axis, {ground_px + 34.0, ground_px + 34.0, 16.0, 10.5}, 8);
  drawing.line({kLeft_px, ground_px + 34.0}, {kRight_px, ground_px + 34.0}, {output::kMuted, 0.8});
}

void draw_key(output::Drawing& drawing, output::Units units) {
  const double y_px = 14.0;
  drawing.box({kLeft_px, y_px - 8.0}, {kLeft_px + 20.0, y_px + 2.0},
              output::between_colours(output::kPaper, output::kBlue, 0.55), {output::kBlue, 1.0});
  drawing.text({kLeft_px + 26.0, y_px + 1.0}, "liquid on the ground", {11.0});
  drawing.box({kLeft_px + 150.0, y_px - 8.0}, {kLeft_px + 170.0, y_px + 2.0}, output::kNoFill,
              {output::kInk, 1.0, "4 3"});
  drawing.text({kLeft_px + 176.0, y_px + 1.0}, "wanted band", {11.0});
  drawing.ellipse({kLeft_px + 268.0, y_px - 3.0}, {5.5, 4.0}, output::kOrange, {output::kInk, 0.9});
  drawing.text({kLeft_px + 279.0, y_px + 1.0}, "seed (white: not sensed)", {11.0});
  drawing.text({kLeft_px, y_px + 19.0},
               "under each seed: placement error, " +
                   std::string(output::shown_unit(output::Measure::kPlace, units).word) +
                   "; travel to the right \u2192",
               {11.0, output::Anchor::kStart, output::kMuted});
}

}  // namespace

FurrowPicture furrow_picture(const RunResult& result, output::Units units) {
  const Stretch stretch = stretch_of(result);
  FurrowPicture picture{output::Drawing(kWidth_px, kTop_px + kStrip_px * stretch.strips), "", ""};
  output::Drawing& drawing = picture.drawing;
  draw_key(drawing, units);
  if (!result.record.rows.empty()) {
    for (int strip = 0; strip < stretch.strips; ++strip)
      draw_strip(drawing, result, stretch, strip, units);
    const double middle_px = kTop_px + 0.5 * kStrip_px * stretch.strips - 30.0;
    drawing.text(
        {12.0, middle_px},
        output::with_unit("line density", output::shown_unit(output::Measure::kLineDose, units)),
        {12.0, output::Anchor::kMiddle, output::kInk, false, true});
    drawing.text({0.5 * (kLeft_px + kRight_px), kTop_px + kStrip_px * stretch.strips - 8.0},
                 output::with_unit("place along row " + std::to_string(stretch.row),
                                   output::shown_unit(output::Measure::kDistance, units)),
                 {12.0, output::Anchor::kMiddle});
  }
  picture.title = "Two metres of furrow, to scale along the row";
  picture.desc =
      "Line density of the liquid as it came to lie, drawn from left to right in travel direction, "
      "in two strips of one metre. Dashed boxes are the wanted bands around the seeds; the number "
      "under each seed is its placement error.";
  return picture;
}

std::string furrow_svg(const RunResult& result, output::Units units) {
  const FurrowPicture picture = furrow_picture(result, units);
  return picture.drawing.file_svg(picture.title, picture.desc);
}

}  // namespace sim::run
