// The page of a rate plan, made to be printed on one side of A4 or Letter.
#include "sim/study/rate/rate_sheet.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "sim/output/axes.h"
#include "sim/output/cautions.h"
#include "sim/output/html.h"
#include "sim/output/svg.h"
#include "sim/study/rate/rate_words.h"

namespace sim::rate {
namespace {

constexpr std::string_view kSheetStyle = R"css(<style>
main { max-width: 980px; }
.two { display: grid; grid-template-columns: minmax(0, 1.1fr) minmax(0, 1fr); gap: 4px 22px;
  align-items: start; }
.two h2, .flat h2 { margin: 10px 0 2px; padding-top: 4px; font-size: 15px; }
.two table { margin: 2px 0 6px; font-size: 13px; line-height: 1.28; }
.two table { width: 100%; }
.two th, .two td { padding: 1.5px 10px 1.5px 0; }
.two th { width: 44%; }
.two figure { margin: 2px 0 6px; }
.warn li { margin: 2px 0; max-width: none; }
.small li, .small p { font-size: 12px; line-height: 1.35; margin: 2px 0; max-width: none; }
.flat td.number { white-space: normal; }
@media (max-width: 700px) {
  main { padding: 20px 14px 32px; }
  .two { grid-template-columns: minmax(0, 1fr); }
  .flat table { font-size: 11.5px; }
  .flat th, .flat td { padding: 2px 6px 2px 0; }
}
@media print {
  @page { margin: 8mm 10mm; }
  .two { grid-template-columns: minmax(0, 1.1fr) minmax(0, 1fr); gap: 0 14px; }
  h1 { font-size: 13pt; line-height: 1.15; }
  .subject { font-size: 9.5pt; margin: 0 0 3px; }
  .verdict { margin: 0 0 4px; }
  .margin { display: none; }
  .two table, .flat table { font-size: 8.6pt; line-height: 1.2; margin: 1px 0 3px;
    break-inside: auto; }
  .two th, .two td, .flat th, .flat td { padding: 1px 6px 1px 0; }
  .two h2, .flat h2 { font-size: 9.5pt; margin: 3px 0 0; padding-top: 1px; }
  .warn li { font-size: 8pt; line-height: 1.15; margin: 1px 0; }
  .small li, .small p { font-size: 8pt; line-height: 1.2; margin: 0.5px 0; }
  .two figure { margin: 0; }
  .two figure svg { max-height: 50mm; }
}
</style>
)css";

constexpr double kShown_m = 0.8;

/// One row from above, to scale along the row: furrow, bands, seeds.
std::string furrow_svg_of(const RateResult& result, output::Units units) {
  constexpr double kWidth_px = 440.0, kHeight_px = 124.0, kLeft_px = 8.0, kRow_px = 58.0;
  const scenario::Scenario& scenario = result.plan.scenario;
  const double px_per_m = (kWidth_px - 2.0 * kLeft_px) / kShown_m;  // tidy: unit px/m
  const double spacing_m = scenario.seeding.meter.spacing_m;
  const double band_m = std::min(scenario.rate.band_length_m, spacing_m);
  output::Drawing drawing(kWidth_px, kHeight_px);
  drawing.box({kLeft_px, kRow_px - 16.0}, {kWidth_px - kLeft_px, kRow_px + 16.0}, output::kPaper,
              {.colour = output::kRule});
  for (double x_m = 0.5 * spacing_m; x_m < kShown_m; x_m += spacing_m) {
    const double from_m = std::max(0.0, x_m - 0.5 * band_m);
    const double to_m = std::min(kShown_m, x_m + 0.5 * band_m);
    if (!result.continuous)
      drawing.hatched_box({kLeft_px + from_m * px_per_m, kRow_px - 8.0},
                          {kLeft_px + to_m * px_per_m, kRow_px + 8.0}, {.colour = output::kBlue});
  }
  if (result.continuous)
    drawing.hatched_box({kLeft_px, kRow_px - 8.0}, {kWidth_px - kLeft_px, kRow_px + 8.0},
                        {.colour = output::kBlue});
  for (double x_m = 0.5 * spacing_m; x_m < kShown_m; x_m += spacing_m)
    drawing.ellipse({kLeft_px + x_m * px_per_m, kRow_px}, {5.0, 3.5}, output::kOrange,
                    {.colour = output::kInk});
  const output::Axis axis{0.0, kShown_m, kLeft_px, kWidth_px - kLeft_px,
                          output::shown_unit(output::Measure::kDistance, units)};
  output::draw_x_axis(drawing, axis, kRow_px + 16.0, kRow_px + 16.0,
                      output::with_unit("along the row", axis.unit), 6);
  drawing.text({kLeft_px, 14.0}, "One row from above, to scale along it", {.bold = true});
  drawing.text({kLeft_px, 30.0},
               result.continuous
                   ? fmt::format("an unbroken stream (hatched), a seed every {}",
                                 output::shown_plain(spacing_m, output::Measure::kPlace, units))
                   : fmt::format("bands of {} (hatched), a seed every {}",
                                 output::shown_plain(scenario.rate.band_length_m,
                                                     output::Measure::kPlace, units),
                                 output::shown_plain(spacing_m, output::Measure::kPlace, units)));
  return drawing.inline_svg("furrow", "Seeds, bands and gaps of one row",
                            "Hatched bands lie beside seeds, nothing between them");
}

struct ChartPoint {
  double at_m = 0.0;
  BothRates rates;
};

struct Chart {
  const char* id;
  const char* title;
  const char* label;
  double plan_m = 0.0;
  std::vector<ChartPoint> points;
};

std::string chart_svg(const Chart& chart, output::Units units) {
  constexpr double kWidth_px = 440.0, kHeight_px = 232.0;
  constexpr double kLeft_px = 52.0, kRight_px = 428.0, kTop_px = 40.0, kFoot_px = 184.0;
  double most_m3pm2 = 0.0;
  for (const ChartPoint& point : chart.points)
    most_m3pm2 = std::max({most_m3pm2, point.rates.in_band_m3pm2, point.rates.average_m3pm2});
  const output::Axis x{chart.points.front().at_m, chart.points.back().at_m, kLeft_px, kRight_px,
                       output::shown_unit(output::Measure::kPlace, units)};
  const output::Axis y{0.0, 1.08 * most_m3pm2, kFoot_px, kTop_px,
                       output::shown_unit(output::Measure::kRate, units)};
  output::Drawing drawing(kWidth_px, kHeight_px);
  output::draw_x_axis(drawing, x, kFoot_px, kTop_px, output::with_unit(chart.label, x.unit), 6);
  output::draw_y_ticks(drawing, y, kLeft_px, kRight_px, 5);
  std::vector<output::Point> average, in_band;
  for (const ChartPoint& point : chart.points) {
    average.push_back({x.px(point.at_m), y.px(point.rates.average_m3pm2)});
    in_band.push_back({x.px(point.at_m), y.px(point.rates.in_band_m3pm2)});
  }
  output::open_panel(drawing, x, chart.label, y, "rate");
  drawing.name("in band");
  drawing.path(in_band, {.colour = output::kOrange, .width_px = 1.8, .dashes = "6 3"});
  drawing.name("field average");
  drawing.path(average, {.colour = output::kBlue, .width_px = 1.8});
  drawing.name("");
  drawing.close_group();
  if (x.holds(chart.plan_m))
    drawing.line({x.px(chart.plan_m), kFoot_px}, {x.px(chart.plan_m), kTop_px},
                 {.colour = output::kMuted, .dashes = "2 3"});
  drawing.text({8.0, 14.0}, output::with_unit(chart.title, y.unit), {.bold = true});
  drawing.text({kRight_px, 30.0}, "dashed: in band; solid: field average; dotted: this plan",
               {.size_px = 11.0, .anchor = output::Anchor::kEnd, .colour = output::kMuted});
  return drawing.inline_svg(chart.id, chart.title,
                            "In-band rate dashed, field-average rate solid, the plan dotted");
}

constexpr int kChartPoints = 37;

/// A band as long as the spacing or longer is a continuous stream, as in the plan itself.
BothRates rates_with(const RatePlan& plan, double spacing_m, double band_m) {
  scenario::Scenario scenario = plan.scenario;
  scenario.seeding.meter.spacing_m = spacing_m;
  scenario.seeding.spacings_m.clear();
  return rates_at(plan, band_m >= spacing_m ? 1.0 : treated_share_ratio(scenario, band_m));
}

std::string charts(const RateResult& result, output::Units units) {
  const RatePlan& plan = result.plan;
  const double spacing_m = plan.scenario.seeding.meter.spacing_m;
  const double band_m = plan.scenario.rate.band_length_m;
  Chart bands{"bands", "Rates over band length", "band length", band_m, {}};
  Chart spacings{"spacings", "Rates over spacing", "theoretical spacing", spacing_m, {}};
  for (int k = 0; k < kChartPoints; ++k) {
    const double share_ratio = static_cast<double>(k) / (kChartPoints - 1);
    const double at_band_m = spacing_m * (0.1 + share_ratio);
    bands.points.push_back({at_band_m, rates_with(plan, spacing_m, at_band_m)});
    const double at_spacing_m = band_m * (0.8 + 4.2 * share_ratio);
    spacings.points.push_back({at_spacing_m, rates_with(plan, at_spacing_m, band_m)});
  }
  return output::figure_html(chart_svg(bands, units), "") +
         output::figure_html(chart_svg(spacings, units), "");
}

std::string lines_table(const std::vector<RateLine>& lines) {
  output::Table table{"", {}, {}, 2};
  for (const RateLine& line : lines) table.lines.push_back({line.name, line.text});
  return output::table_html(table);
}

std::string zones_table(const RateResult& result, output::Units units) {
  if (result.zones.empty()) return "";
  output::Table table{
      "",
      {"Zone", "area", "in band", "field average", "pressure", "speeds that hold it", ""},
      {},
      1};
  for (const ZonePlan& one : result.zones)
    table.lines.push_back(
        {one.zone.name, shown_area(one.zone.area_m2, units),
         output::shown(one.zone.in_band_m3pm2, output::Measure::kRate, units),
         output::shown(one.average_m3pm2, output::Measure::kRate, units),
         output::shown(one.delivery.pressure_pa, output::Measure::kPressure, units),
         output::shown(one.delivery.slowest_mps, output::Measure::kSpeed, units) + " to " +
             output::shown(one.delivery.fastest_mps, output::Measure::kSpeed, units),
         !one.delivery.served ? "cannot be served at this speed"
         : one.rise_ahead_m > 0.0
             ? "raise pressure " +
                   output::shown(one.rise_ahead_m, output::Measure::kDistance, units) + " ahead"
             : ""});
  return "<div class=\"flat\"><h2>Zones</h2>\n" + output::table_html(table) + "</div>\n";
}

}  // namespace

std::string rate_sheet_html(const RateResult& result, output::Units units) {
  const RatePlan& plan = result.plan;
  const std::string subject = "Rate plan: " + (plan.title.empty() ? plan.name : plan.title) +
                              (plan.product.name.empty() ? "" : ", " + plan.product.name);
  std::string body = std::string(kSheetStyle);
  body += output::verdict_html(subject, rate_sentence(result, units), "",
                               result.trouble != RateTrouble::kNone);
  body += "<div class=\"warn\">" + output::list_html(rate_warnings(result, units)) + "</div>\n";
  const std::vector<RateLine> seed = seed_lines(result, units);
  std::string left = "<h2>What it comes to</h2>\n" + lines_table(rate_lines(result, units));
  if (!seed.empty())
    left += fmt::format("<h2>With the seed: {}, {} soil</h2>\n", crop_word(plan.crop),
                        soil_word(plan.soil)) +
            lines_table(seed);
  const std::string right =
      output::figure_html(furrow_svg_of(result, units), "") + charts(result, units);
  body += "<div class=\"two\"><div>" + left + "</div><div>" + right + "</div></div>\n";
  body += zones_table(result, units);
  body += "<div class=\"small flat\"><h2>Cautions</h2>\n" +
          output::list_html(output::rate_cautions()) + "</div>\n";
  return output::page_html(subject, body);
}

}  // namespace sim::rate
