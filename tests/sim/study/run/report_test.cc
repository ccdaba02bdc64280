#include "sim/study/run/report.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <string>
#include <vector>

#include "shared/units.h"
#include "sim/output/axes.h"
#include "sim/output/html.h"
#include "sim/output/shown_units.h"
#include "sim/output/svg.h"
#include "sim/study/run/plots.h"
#include "sim/study/run/sentences.h"
#include "sim/study/sweep/cell_maps.h"
#include "sim/study/sweep/sweep_page.h"
#include "tests/support/example_result.h"
#include "tests/support/report_text.h"

namespace {

using sim::output::Measure;
using sim::output::Units;
using testing::HasSubstr;
using testing::Not;
using testing::StartsWith;

std::string plain_text(const std::string& whole) {
  const std::string html = support::without_script(whole);
  std::string text;
  bool in_tag = false;
  for (const char c : html) {
    if (c == '<') in_tag = true;
    if (!in_tag) text += c;
    if (c == '>') in_tag = false;
  }
  return text;
}

// Whether every open tag is closed in order: enough parsing to find a broken page.
std::string first_broken_tag(const std::string& whole) {
  const std::string html = support::without_script(whole);
  const std::vector<std::string> alone = {"meta", "!DOCTYPE"};
  std::vector<std::string> open;
  for (std::size_t at = html.find('<'); at != std::string::npos; at = html.find('<', at + 1)) {
    const std::size_t end = html.find('>', at);
    if (end == std::string::npos) return "no > after " + html.substr(at, 30);
    const bool closes = html[at + 1] == '/';
    const std::size_t from = at + (closes ? 2 : 1);
    const std::string name = html.substr(from, html.find_first_of(" >\n/", from) - from);
    if (std::find(alone.begin(), alone.end(), name) != alone.end() || html[end - 1] == '/')
      continue;
    if (!closes) {
      open.push_back(name);
    } else if (open.empty() || open.back() != name) {
      return html.substr(at, end - at + 1) + " closes " + (open.empty() ? "nothing" : open.back());
    } else {
      open.pop_back();
    }
  }
  return open.empty() ? "" : "never closed: " + open.back();
}

const std::string& run_page() {
  static const std::string page = sim::run::run_report_html(tests::example_run(), Units::kMetric);
  return page;
}
const std::string& sweep_page() {
  static const std::string page =
      sim::sweep::sweep_report_html(tests::example_sweep(), Units::kMetric);
  return page;
}

std::string between(const std::string& page, const std::string& from, const std::string& to) {
  const std::size_t start = page.find(from) + from.size();
  return page.substr(start, page.find(to, start) - start);
}

TEST(Report, BeginsWithTheVerdictFigureFirstAndTheMarginBesideIt) {
  const std::string sentence = plain_text(between(run_page(), "<h1>", "</h1>"));
  EXPECT_THAT(sentence,
              testing::MatchesRegex("[0-9.]+ % of sensed seeds within 10 mm at 16 km/h and "
                                    "150 mm .[0-9.]+ % of all placed.; every requirement "
                                    "holds."));
  const std::string margin = plain_text(between(run_page(), "<p class=\"margin\">", "</p>"));
  EXPECT_THAT(margin, HasSubstr("tolerates up to 3.4 mm (sd) of further scatter below the sensor"));
}

TEST(Report, HasItsSectionsInOrder) {
  std::size_t last = 0;
  for (const char* heading :
       {"Requirements", "Placement error of every seed", "The furrow to scale", "One pulse",
        "Liquid, seeds and bands", "Spacing of the seeds at rest",
        "Rate, jet and timing of the attachment", "Health of the controllers",
        "Assumptions and limits", "Cautions", "Origin of these figures"}) {
    const std::size_t at = run_page().find("<h2>" + std::string(heading) + "</h2>");
    ASSERT_NE(at, std::string::npos) << heading;
    EXPECT_GT(at, last) << heading;
    last = at;
  }
}

TEST(Report, AsksNothingOfAnyHostAndNeedsNoScript) {
  for (const std::string& whole : {run_page(), sweep_page()}) {
    EXPECT_EQ(support::count_of(whole, "<script"), 1);
    const std::string page = support::without_script(whole);
    for (const char* request : {"http:", "https:", "url(", "src=", "href=", "@import", "<script",
                                "<link", "<img", "<iframe"})
      EXPECT_THAT(page, Not(HasSubstr(request)));
    EXPECT_EQ(first_broken_tag(page), "");
  }
}

TEST(Report, EscapesNames) {
  sim::run::RunResult run = tests::example_run(2, 20);
  run.scenario.title = "<script>alert(1)</script> & \"quotes\"";
  run.scenario.name = "<b>name</b>";
  run.scenario.attachment.name = "<i>tube</i>";
  run.scenario.liquid.name = "a<b";
  run.summary.requirements[0].name = "<u>metric</u> at least";
  const std::string page = support::without_script(sim::run::run_report_html(run, Units::kMetric));
  EXPECT_THAT(page, HasSubstr("&lt;script&gt;alert(1)&lt;/script&gt; &amp; &quot;quotes&quot;"));
  for (const char* raw : {"<script", "<b>", "<i>", "<u>", "a<b"})
    EXPECT_THAT(page, Not(HasSubstr(raw)));
  EXPECT_EQ(first_broken_tag(page), "");
}

TEST(Report, GivesTheSameBytesAgain) {
  EXPECT_EQ(run_page(), sim::run::run_report_html(tests::example_run(), Units::kMetric));
  EXPECT_EQ(sweep_page(), sim::sweep::sweep_report_html(tests::example_sweep(), Units::kMetric));
}

TEST(Report, SaysWhatIsViolatedInWords) {
  sim::run::RunResult run = tests::example_run(2, 40);
  run.summary.verdict = sim::measure::Verdict::kFail;
  for (sim::measure::RequirementResult& one : run.summary.requirements) one.holds = true;
  run.summary.requirements[1].holds = false;
  const std::string page = sim::run::run_report_html(run, Units::kMetric);
  EXPECT_THAT(plain_text(page), HasSubstr("1 of 3 requirements is violated"));
  EXPECT_THAT(page, HasSubstr("<td>violated</td>"));
}

TEST(Report, AWrongSeedIsSaidAtOnce) {
  sim::run::RunResult run = tests::example_run(2, 40);
  run.summary.verdict = sim::measure::Verdict::kWrongSeed;
  run.summary.all.lag_seeds = -1;
  EXPECT_THAT(sim::run::run_sentence(run, Units::kMetric),
              HasSubstr("wrong seed: the bands follow the seeds 1 place away"));
}

TEST(Report, ALostGoalHasNoMargin) {
  sim::measure::Summary summary;
  summary.break_even_scatter_m = 0.0;
  EXPECT_THAT(sim::run::break_even_sentence(summary), HasSubstr("is not reached"));
  summary.break_even_scatter_m = sim::statistics::kNone_ratio;
  EXPECT_THAT(sim::run::break_even_sentence(summary), HasSubstr("not known"));
}

TEST(Report, StandsWithoutFiguresThatDoNotExist) {
  sim::run::RunResult run = tests::example_run(2, 20);
  run.summary = {};
  run.record = {};
  const std::string page = sim::run::run_report_html(run, Units::kMetric);
  EXPECT_EQ(first_broken_tag(page), "");
  EXPECT_THAT(support::without_script(page), Not(HasSubstr("nan")));
  EXPECT_THAT(plain_text(page), HasSubstr("No seed was placed: nothing to judge"));
}

TEST(Report, ShowsTheForceLawOfTheSolenoidWithItsKeys) {
  const auto joined = [](const std::string& page) {
    std::string text;
    for (const std::string& line : support::report_lines(page)) text += line + "\n";
    return text;
  };
  EXPECT_THAT(joined(run_page()), HasSubstr("force_law | linear"));
  sim::run::RunResult run = tests::example_run(1, 20);
  model::Coil& coil = run.scenario.attachment.valve.coil;
  coil.force_law = model::ForceLaw::kReluctance;
  coil.inductance_h = 8e-3;
  coil.reluctance = {.gap_m = 1.3e-3, .leakage_h = 1.2e-3, .saturation_vs = 18e-3};
  const std::string text = joined(sim::run::run_report_html(run, Units::kMetric));
  for (const char* words : {"force_law | reluctance", "gap | 1.3", "leakage | 1.2",
                            "saturation | 18", "a pull that grows as the gap closes"})
    EXPECT_THAT(text, HasSubstr(words));
  EXPECT_THAT(text, Not(HasSubstr("force_constant")));
}

TEST(Report, ShowsEveryCautionOfTheTrade) {
  const std::string text = plain_text(run_page());
  for (const char* words :
       {"confirm it on a bench and in the field", "read zero on a gauge", "lock the machine out",
        "radio command can fire a valve", "raised planter", "face shield", "dust mask", "seed tag",
        "safety data sheet", "before frost", "Contain spills", "continuous streams",
        "extension service", "upper limit inside the band", "makers of machine and valve"})
    EXPECT_THAT(text, HasSubstr(words));
}

TEST(Report, StatesNoiseAndWhatIsNotModelled) {
  const std::string text = plain_text(run_page());
  EXPECT_THAT(text, HasSubstr("No bench or field validation"));
  EXPECT_THAT(text, HasSubstr("running along the furrow are not modelled"));
  for (const char* amount : {"0.30 ms", "0.20 ms", "50 ppm", "at 20 Hz", "0.3 V at 100 Hz"})
    EXPECT_THAT(text, HasSubstr(amount));
}

TEST(Report, AGravityRowShowsItsRoll) {
  sim::run::RunResult run = tests::example_run(1, 20);
  run.scenario.delivery.kind = model::DeliveryKind::kGravity;
  EXPECT_THAT(sim::run::run_report_html(run, Units::kMetric), HasSubstr("Bounce and roll"));
  EXPECT_THAT(run_page(), Not(HasSubstr("Bounce and roll")));
}

TEST(Report, SpeaksUsUnitsWhenAsked) {
  const std::string page = plain_text(sim::run::run_report_html(tests::example_run(), Units::kUs));
  for (const char* words : {"9.9 mph", "5.906 in", "gal/ac", "gpm", "psi", "fl oz/1000 ft"})
    EXPECT_THAT(page, HasSubstr(words));
  for (const char* words : {"km/h and", " l/ha", " l/min", " bar "})
    EXPECT_THAT(page, Not(HasSubstr(words)));
}

// DB32/T 1023-2007, acceptance of corn planters: quality of feed at least 80 %, multiples and
// misses at most 8 %, precision at most 30 %. It stands in the table of our own indices.
TEST(Report, SetsTheSpacingBesideAnAcceptanceNormAndItsSource) {
  const std::string page = run_page();
  const std::size_t section = page.find("Spacing of the seeds at rest");
  ASSERT_NE(section, std::string::npos);
  const std::string table = page.substr(section, page.find("</table>", section) - section);
  std::vector<std::size_t> at;
  for (const char* words : {"Quality of feed", "Multiples", "Misses", "Precision", "ISO 7256-1",
                            "DB32/T 1023-2007", "≥ 80 %", "≤ 8 %", "≤ 30 %"})
    at.push_back(plain_text(table).find(words));
  for (const std::size_t place : at) EXPECT_NE(place, std::string::npos);
  EXPECT_TRUE(std::is_sorted(at.begin(), at.end()));
}

TEST(SweepReport, ShowsANumberAndAWordInEveryCell) {
  const sim::sweep::SweepResult sweep = tests::example_sweep();
  const auto maps = sim::sweep::cell_maps(sweep);
  ASSERT_EQ(maps.size(), 1u);
  const std::string svg = sim::sweep::cell_map_svg(sweep, maps[0], 0, Units::kMetric);
  std::size_t holds = 0;
  for (std::size_t at = svg.find(">holds<"); at != std::string::npos;
       at = svg.find(">holds<", at + 1))
    ++holds;
  const auto good = std::count_if(sweep.cells.begin(), sweep.cells.end(), [](const auto& cell) {
    return cell.servable && cell.summary.verdict == sim::measure::Verdict::kHold;
  });
  EXPECT_EQ(holds, static_cast<std::size_t>(good));
  EXPECT_THAT(svg, HasSubstr(">servable<"));
  EXPECT_THAT(svg, HasSubstr("≥ 71"));
}

TEST(SweepReport, OpensAMapForEachChoiceOfAFurtherAxis) {
  sim::sweep::SweepResult sweep = tests::example_sweep();
  sweep.axes.insert(sweep.axes.begin(), {"attachment.name", {"short tube", "long hook"}});
  std::vector<sim::sweep::SweepCell> cells;
  for (const std::string& name : sweep.axes[0].values)
    for (sim::sweep::SweepCell cell : sweep.cells) {
      cell.values.insert(cell.values.begin(), name);
      cells.push_back(cell);
    }
  sweep.cells = cells;
  const auto maps = sim::sweep::cell_maps(sweep);
  ASSERT_EQ(maps.size(), 2u);
  EXPECT_EQ(maps[1].heading, "attachment: long hook");
  EXPECT_EQ(maps[1].cells.size(), 24u);
  // From the bottom the first spacing, from the left the first speed.
  EXPECT_EQ(sweep.cells[maps[0].cells[1]].values[1], "8 km/h");
  EXPECT_EQ(sweep.cells[maps[0].cells[1]].values[2], "0.10 m");
}

// Speed by spacing with a further quantity: three pairs, each at the shown values and as the worst
// over the third; the worst cell of a place is the one with the least share, or not servable.
TEST(SweepReport, MapsEveryPairOfThreeQuantities) {
  sim::sweep::SweepResult sweep = tests::example_sweep();
  sweep.axes.push_back({"supply.pressure", {"4 bar", "5 bar"}});
  std::vector<sim::sweep::SweepCell> cells;
  for (const sim::sweep::SweepCell& one : sweep.cells)
    for (const char* pressure : {"4 bar", "5 bar"}) {
      sim::sweep::SweepCell cell = one;
      cell.values.emplace_back(pressure);
      if (cell.values.back() == "4 bar") cell.summary.all.within[0].sensed_ratio -= 0.1;
      cells.push_back(cell);
    }
  sweep.cells = cells;
  sweep.shown_values = {"8 km/h", "0.15 m", "5 bar"};
  const auto maps = sim::sweep::cell_maps(sweep);
  ASSERT_EQ(maps.size(), 6u);
  EXPECT_EQ(maps[0].heading,
            "ground speed against theoretical spacing; at pressure that the pump holds 5 bar");
  EXPECT_EQ(
      maps[1].heading,
      "ground speed against theoretical spacing; the worst over pressure that the pump holds");
  for (const std::size_t cell : maps[0].cells) EXPECT_EQ(sweep.cells[cell].values[2], "5 bar");
  for (const std::size_t cell : maps[1].cells)
    EXPECT_TRUE(!sweep.cells[cell].servable || sweep.cells[cell].values[2] == "4 bar");
  // Over spacing the cell at 16 km/h and 0.10 m, which cannot be served, is the worst of its place.
  const sim::sweep::CellMap& pressure_map = maps[3];
  EXPECT_EQ(pressure_map.cells.size(), 12u);
  EXPECT_FALSE(sweep.cells[pressure_map.cells[5]].servable);
  EXPECT_THAT(sim::sweep::cell_map_svg(sweep, pressure_map, 0, Units::kUs), HasSubstr("psi"));
}

TEST(SweepReport, StandsWithNothingServable) {
  sim::sweep::SweepResult sweep = tests::example_sweep();
  for (sim::sweep::SweepCell& cell : sweep.cells) cell.servable = false;
  sweep.shown = {};
  const std::string page = sim::sweep::sweep_report_html(sweep, Units::kMetric);
  EXPECT_EQ(first_broken_tag(page), "");
  EXPECT_THAT(plain_text(page), HasSubstr("24 cannot be served"));
}

TEST(ErrorPlot, DrawsAnEnvelopeInsteadOfThousandsOfMarks) {
  const std::string few = sim::run::error_by_seed_svg(tests::example_run(8, 300), Units::kMetric);
  const std::string many = sim::run::error_by_seed_svg(tests::example_run(8, 3000), Units::kMetric);
  EXPECT_LT(many.size(), 3 * few.size());
  EXPECT_LT(many.size(), 400'000u);
}

TEST(FurrowSvg, IsAFileOfItsOwn) {
  const std::string svg = sim::run::furrow_svg(tests::example_run(2, 40), Units::kMetric);
  EXPECT_THAT(svg, StartsWith("<svg xmlns=\"http://www.w3.org/2000/svg\""));
  EXPECT_THAT(svg, HasSubstr("<title"));
  EXPECT_THAT(svg, HasSubstr("<desc"));
  EXPECT_EQ(first_broken_tag(svg), "");
}

TEST(FurrowSvg, StandsWithoutALineDensity) {
  sim::run::RunResult run = tests::example_run(2, 40);
  run.record.rows[0].density = {};
  EXPECT_THAT(sim::run::furrow_svg(run, Units::kMetric), HasSubstr("<rect"));
}

TEST(FurrowSvg, StandsWithoutARateAndWithASeedThatNeverRested) {
  sim::run::RunResult run = tests::example_run(2, 40);
  run.scenario.rate.in_band_m3pm2 = 0.0;
  run.record.rows[0].seeds[1].rest_x_ground_m = sim::statistics::kNone_ratio;
  EXPECT_EQ(first_broken_tag(sim::run::furrow_svg(run, Units::kMetric)), "");
}

// One metre of furrow is 690 px wide: two seeds 0.15 m apart stand 103.5 px apart.
TEST(FurrowSvg, IsToScaleAlongTheRow) {
  sim::run::RunResult run = tests::example_run(1, 4);
  auto& row = run.record.rows[0];
  row.density = {};
  for (std::size_t i = 0; i < 4; ++i)
    row.seeds[i].rest_x_ground_m = 0.5 + 0.15 * static_cast<double>(i);
  const std::string svg = sim::run::furrow_svg(run, Units::kMetric);
  // The stretch starts 0.1 m before the first seed: 62 + 69 = 131 px, then 234.5 px.
  EXPECT_THAT(svg, HasSubstr("<ellipse cx=\"131\""));
  EXPECT_THAT(svg, HasSubstr("<ellipse cx=\"234.5\""));
}

TEST(Ticks, StandAtRoundNumbers) {
  const sim::output::Axis axis{-0.016, 0.016, 0.0, 100.0, {"mm", 1e3, 0.0, 1}};
  std::vector<std::string> labels;
  for (const sim::output::Tick& tick : sim::output::round_ticks(axis, 8))
    labels.push_back(tick.label);
  EXPECT_EQ(labels, (std::vector<std::string>{"−15", "−10", "−5", "0", "5", "10", "15"}));
  const sim::output::Axis small{0.0, 0.9, 0.0, 100.0, {"", 1.0, 0.0, 1}};
  EXPECT_EQ(sim::output::round_ticks(small, 5).back().label, "0.8");
  EXPECT_TRUE(sim::output::round_ticks({1.0, 1.0, 0.0, 100.0, {"", 1.0, 0.0, 1}}, 5).empty());
}

// Factors exact by definition (shared/units.h names them): 16 km/h = 9.942 mph, 1 bar = 14.504 psi,
// 1 gal/ac = 9.354 l/ha, 0 C = 32 F.
TEST(ShownUnits, ConvertForBothSidesOfTheOcean) {
  EXPECT_EQ(sim::output::shown(16.0 / 3.6, Measure::kSpeed, Units::kUs), "9.9 mph");
  EXPECT_EQ(sim::output::shown(1e5, Measure::kPressure, Units::kUs), "14.5 psi");
  EXPECT_EQ(sim::output::shown(shared::kGallonPerAcre_m3pm2, Measure::kRate, Units::kMetric, 3),
            "9.354 l/ha");
  EXPECT_EQ(sim::output::shown(273.15, Measure::kTemperature, Units::kUs), "32.0 °F");
  EXPECT_EQ(sim::output::shown(1.7e-3, Measure::kBore, Units::kMetric), "1.70 mm (67 thou)");
  EXPECT_EQ(sim::output::shown(-0.0021, Measure::kTime, Units::kUs), "−2.10 ms");
  EXPECT_EQ(sim::output::shown(sim::statistics::kNone_ratio, Measure::kPlace, Units::kUs),
            "not known");
  EXPECT_EQ(sim::output::shown_plain(0.010, Measure::kPlace, Units::kMetric), "10 mm");
  EXPECT_EQ(sim::output::shown_plain(0.0375, Measure::kPlace, Units::kMetric), "37.5 mm");
  // 1 fl oz/1000 ft = 0.0970 ml/m (29.5735 ml over 304.8 m).
  EXPECT_EQ(sim::output::shown(0.0970e-6, Measure::kLineDose, Units::kUs), "1.0 fl oz/1000 ft");
}

TEST(Html, KeepsANumberAndItsUnitOnOneLine) {
  EXPECT_EQ(sim::output::paragraph_html("up to 3.4 mm, 95 % of <it>"),
            "<p>up to <span class=\"q\">3.4 mm</span>, <span class=\"q\">95 %</span> of "
            "&lt;it&gt;</p>\n");
}

TEST(Svg, MixesColoursByShare) {
  EXPECT_EQ(sim::output::between_colours("#000000", "#ffffff", 0.0), "#000000");
  EXPECT_EQ(sim::output::between_colours("#000000", "#ffffff", 1.0), "#ffffff");
  EXPECT_EQ(sim::output::between_colours("#000000", "#10ff20", 0.5), "#088010");
}

}  // namespace
