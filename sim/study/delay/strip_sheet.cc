#include "sim/study/delay/strip_sheet.h"

#include <algorithm>
#include <cmath>

#include "sim/output/cautions.h"
#include "sim/output/html.h"
#include "sim/output/number_text.h"
#include "sim/output/shown_units.h"
#include "sim/output/svg.h"
#include "sim/text/quantity.h"

namespace sim::delay {
namespace {

constexpr int kRuler_mm = 180;     // the width between the margins of A4
constexpr int kRowsOnAPage = 16;   // columns wide enough to write into
constexpr int kBandsOnAPage = 40;  // lines of 5 mm

std::string mm_text(double place) { return output::fixed_text(place, 2); }

std::string line_svg(double x1, double y1, double x2, double y2, double width) {
  return "<line x1=\"" + mm_text(x1) + "\" y1=\"" + mm_text(y1) + "\" x2=\"" + mm_text(x2) +
         "\" y2=\"" + mm_text(y2) + "\" stroke=\"" + std::string(output::kInk) +
         "\" stroke-width=\"" + mm_text(width) + "\"/>\n";
}

std::string text_svg(double x, double y, std::string_view anchor, std::string_view words) {
  return "<text x=\"" + mm_text(x) + "\" y=\"" + mm_text(y) + "\" font-size=\"3\" fill=\"" +
         std::string(output::kInk) +
         "\" font-family=\"Liberation Sans, Arial, sans-serif\" text-anchor=\"" +
         std::string(anchor) + "\">" + output::escaped(words) + "</text>\n";
}

std::string speed(double speed_mps, output::Units units) {
  return output::shown(speed_mps, output::Measure::kSpeed, units);
}
// Tapes read millimetres in both unit systems here: the ruler has no other scale.
std::string place(double length_m, int decimals = 1) {
  return output::shown(length_m, output::Measure::kPlace, output::Units::kMetric, decimals);
}
std::string time(double time_s) {
  return output::shown(time_s, output::Measure::kTime, output::Units::kMetric);
}
std::string minutes(double time_s) {
  return output::fixed_text(std::ceil(time_s / 60.0), 0) + " minutes";
}

std::vector<std::string> steps(const StripPlan& plan, output::Units units) {
  std::string order;
  for (int run = 0; run < plan.runs(); ++run)
    order += (run > 0 ? ", " : "") + std::to_string(run) + ": " + speed(plan.speed_mps(run), units);
  return {"1. Tank: clean water with food dye, at least " +
              output::shown(plan.tank_m3, output::Measure::kVolume, units) +
              " and what fills the lines. No product and no treated seed in this test. Run until "
              "colour "
              "comes at every row.",
          "2. Enter the table as it stands, all row trims 0, the field's rate and population.",
          "3. For each run lay a strip of paper of " +
              output::shown(plan.strip_m, output::Measure::kDistance, units) +
              " flat under every row, weighted at its ends, after a run-up of " +
              output::shown(plan.run_up_m, output::Measure::kDistance, units) +
              ". Write run and row on it, and an arrow in travel direction.",
          "4. Runs by number: " + order +
              ". Reach the speed well before the paper, hold it, stop after.",
          "5. Machine stopped and secured (see Cautions): take the papers away to read them.",
          "6. Read " + std::to_string(plan.bands) +
              " bands per row: the middle of the band less its seed, along the arrow, ahead +, "
              "behind −. Skip doubles and merged bands: leave the field empty.",
          "7. Type the readings into strip_readings.csv and give it to this command."};
}

std::string tally_page(const StripPlan& plan, int run, int first_row, int first_band,
                       output::Units units) {
  const int rows = std::min(plan.request.rows - first_row, kRowsOnAPage);
  const int bands = std::min(plan.bands - first_band, kBandsOnAPage);
  std::string html =
      "<section style=\"break-before:page\">\n<h2>Run " + std::to_string(run) + ", " +
      output::escaped(speed(plan.speed_mps(run), units)) +
      ": offsets in mm, ahead +, behind &minus;</h2>\n"
      "<table style=\"width:100%;table-layout:fixed;break-inside:auto;line-height:1.15\">\n"
      "<thead><tr><th scope=\"col\" style=\"width:11mm\">band</th>";
  for (int row = first_row; row < first_row + rows; ++row)
    html += "<th scope=\"col\">row " + std::to_string(row) + "</th>";
  html += "</tr></thead>\n<tbody>\n";
  for (int band = first_band; band < first_band + bands; ++band) {
    html += "<tr><th scope=\"row\">" + std::to_string(band) + "</th>";
    for (int row = 0; row < rows; ++row) html += "<td style=\"border:1px solid #59636f\"></td>";
    html += "</tr>\n";
  }
  return html +
         "</tbody></table>\n<p>Speed driven: ________ &#160; Pressure: ________ &#160; "
         "Read by: ________________</p>\n</section>\n";
}

}  // namespace

std::string ruler_svg() {
  std::string svg =
      "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"180mm\" height=\"24mm\" viewBox=\"0 0 180 "
      "24\" role=\"img\" aria-label=\"Ruler of 180 mm\" style=\"display:block;max-width:none\">\n";
  svg += line_svg(0, 0.5, kRuler_mm, 0.5, 0.2);
  for (int at = 0; at <= kRuler_mm; ++at) {
    // The drawing's edge would cut the outermost marks in half.
    const double x = std::clamp(double(at), 0.1, kRuler_mm - 0.1);
    const double length = at % 10 == 0 ? 7.0 : at % 5 == 0 ? 5.0 : 3.0;
    svg += line_svg(x, 0.5, x, 0.5 + length, at % 10 == 0 ? 0.2 : 0.12);
    if (at % 10 == 0)
      svg += text_svg(x, 11.0,
                      at == 0           ? "start"
                      : at == kRuler_mm ? "end"
                                        : "middle",
                      std::to_string(at));
  }
  svg += line_svg(40, 16.0, 140, 16.0, 0.4);
  for (const double x : {40.0, 140.0}) svg += line_svg(x, 13.5, x, 18.5, 0.2);
  svg += text_svg(
      90, 22.5, "middle",
      "This line must measure 100 mm. If it does not, print at 100 %, not fitted to the page.");
  return svg + "</svg>\n";
}

std::string strip_sheet_html(const StripPlan& plan, const std::string& name, output::Units units) {
  std::vector<std::string> gives = strip_plan_lines(plan, units);
  const std::string first = gives.front();
  gives.erase(gives.begin());
  // Small type and no rules between the parts: all of this has to fit on one sheet.
  std::string body =
      "<div style=\"font-size:9pt;line-height:1.25\">\n<p class=\"subject\">Strip test of " +
      output::escaped(name) + "</p>\n<h1 style=\"font-size:13pt\">" + output::escaped(first) +
      "</h1>\n<h3>What to do</h3>\n" + output::list_html(steps(plan, units)) +
      "<h3>Ruler 1:1</h3>\n" + ruler_svg() + "<h3>Cautions</h3>\n" +
      output::list_html(output::strip_test_cautions()) + "<h3>What it gives</h3>\n" +
      output::list_html(gives) + "</div>\n";
  for (int run = 0; run < plan.runs(); ++run)
    for (int row = 0; row < plan.request.rows; row += kRowsOnAPage)
      for (int band = 0; band < plan.bands; band += kBandsOnAPage)
        body += tally_page(plan, run, row, band, units);
  return output::page_html("Strip test " + name, body);
}

std::string strip_readings_template_csv(const StripPlan& plan, output::Units units) {
  const std::string unit = units == output::Units::kUs ? "mph" : "km/h";
  std::string csv = "speed [" + unit + "],run,row,band,offset [mm]\n";
  for (int run = 0; run < plan.runs(); ++run) {
    const std::string text = output::shown_number(
        plan.speed_mps(run), output::shown_unit(output::Measure::kSpeed, units), 2);
    for (int row = 0; row < plan.request.rows; ++row)
      for (int band = 0; band < plan.bands; ++band)
        csv += text + "," + std::to_string(run) + "," + std::to_string(row) + "," +
               std::to_string(band) + ",\n";
  }
  return csv;
}

std::vector<std::string> strip_plan_lines(const StripPlan& plan, output::Units units) {
  std::vector<std::string> lines = {
      std::to_string(plan.bands) + " bands per row and run, " + std::to_string(plan.runs_a_speed) +
      " runs each at " + speed(plan.fast_mps, units) + " and " + speed(plan.slow_mps, units) +
      ", about " + minutes(plan.takes_s)};
  lines.push_back("It gives each row's trim to ±" + place(plan.trim_half_m, 2) +
                  ", the time error to ±" + time(plan.time_half_s) + ", the distance error to ±" +
                  place(plan.distance_half_m) + " (95 %), if a band scatters by " +
                  place(plan.request.scatter_m) + " within its row, a tape reading by " +
                  place(plan.request.reading_m) + " and a run's common error by " +
                  place(plan.request.run_sd_m) + " (sd).");
  if (!plan.in_time) {
    std::string line = minutes(plan.request.time_limit_s) + " are not enough for ±" +
                       place(plan.request.trim_half_m, 2) + " with " +
                       std::to_string(plan.request.work.readers) + " pairs of readers.";
    if (plan.in_time_readers > 0)
      line += " " + std::to_string(plan.in_time_readers) + " pairs would be enough.";
    if (std::isfinite(plan.in_time_trim_half_m))
      line += " Fewer bands, read in that time, give a trim to ±" +
              place(plan.in_time_trim_half_m, 2) + ".";
    lines.push_back(line);
  }
  const StripWork& work = plan.request.work;
  lines.push_back("Time: " + output::fixed_text(work.prepare_s / 60.0, 1) +
                  " minutes to prepare, " +
                  output::fixed_text((work.lay_s + work.walk_s) / 60.0, 1) +
                  " per run for paper and turning, " + output::fixed_text(work.read_s, 0) +
                  " s per reading with " + std::to_string(work.readers) +
                  " pairs of readers (common practice, no source).");
  return lines;
}

}  // namespace sim::delay
