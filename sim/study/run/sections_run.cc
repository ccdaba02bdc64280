#include <cmath>

#include "sim/output/html.h"
#include "sim/output/shown_units.h"
#include "sim/scenario/metric_names.h"
#include "sim/study/run/plots.h"
#include "sim/study/run/sections.h"
#include "sim/study/run/sentences.h"

namespace sim::run {
namespace {

// "within_10mm_sensed at least" -> the metric's meaning; for a temporal requirement its own words.
std::string requirement_words(const measure::RequirementResult& requirement) {
  const std::string name = requirement.name.substr(0, requirement.name.find(' '));
  const scenario::MetricName* metric = scenario::find_metric_name(name);
  std::string words = metric != nullptr ? std::string(metric->meaning) : requirement.name;
  for (char& c : words)
    if (c == '_') c = ' ';
  if (words.front() >= 'a' && words.front() <= 'z')
    words.front() = static_cast<char>(words.front() - 'a' + 'A');
  return words;
}

std::string sense_words(const measure::RequirementResult& requirement) {
  const std::size_t space = requirement.name.find(' ');
  const bool metric = scenario::find_metric_name(requirement.name.substr(0, space)) != nullptr;
  return metric && space != std::string::npos ? requirement.name.substr(space + 1) + " " : "";
}

std::string worst_words(const measure::Witness& worst) {
  if (worst.row < 0) return "";
  std::string words = "row " + std::to_string(worst.row);
  if (worst.seed >= 0) words += ", seed " + std::to_string(worst.seed);
  return words;
}

std::vector<std::string> within_line(const measure::WithinTolerance& one, output::Units units) {
  return {"within " + output::shown_plain(one.tolerance_m, output::Measure::kPlace, units),
          goal_share(one.sensed_ratio), goal_share(one.lower95_ratio),
          output::shown(one.placed_ratio, output::Measure::kShare, units)};
}

std::vector<std::string> spread_line(const char* what, const statistics::Spread& spread,
                                     output::Units units) {
  const auto place = [&](double value_m) {
    return output::shown(value_m, output::Measure::kPlace, units);
  };
  return {what,
          place(spread.mean_m),
          place(spread.sd_m),
          place(spread.p05_m),
          place(spread.p50_m),
          place(spread.p95_m),
          place(spread.abs_p95_m),
          place(spread.max_abs_m)};
}

output::Table rows_table(const RunResult& result, output::Units units) {
  output::Table table{"The same by row; shares are of the row's sensed seeds.",
                      {"Row", "Placed", "Sensed",
                       "Within " + output::shown_plain(result.summary.all.within[0].tolerance_m,
                                                       output::Measure::kPlace, units),
                       "Mean error", "sd", "Band length", "Dose", "Gap share"},
                      {},
                      1};
  for (std::size_t i = 0; i < result.summary.rows.size(); ++i) {
    const measure::Figures& row = result.summary.rows[i];
    table.lines.push_back(
        {std::to_string(i), std::to_string(row.seeds.placed), std::to_string(row.seeds.sensed),
         output::shown(row.within[0].sensed_ratio, output::Measure::kShare, units),
         output::shown_signed(row.placement_error.mean_m, output::Measure::kPlace, units),
         output::shown(row.placement_error.sd_m, output::Measure::kPlace, units),
         output::shown(row.band_length.mean_m, output::Measure::kPlace, units),
         output::shown(row.dose_mean_m3, output::Measure::kDose, units),
         output::shown(row.gap_ratio, output::Measure::kShare, units)});
  }
  return table;
}

}  // namespace

std::string requirements_section(const RunResult& result, output::Units units) {
  const measure::Summary& summary = result.summary;
  const measure::Figures& all = summary.all;
  output::Table within{
      "Shares of seeds, each with its denominator; the bound takes each row as a cluster.",
      {"Band centre", "of sensed seeds", "lower 95 % bound", "of all placed"},
      {},
      1};
  for (const measure::WithinTolerance& one : all.within)
    within.lines.push_back(within_line(one, units));
  output::Table spreads{
      "Seeds with a band of their own. Error: band centre less seed, positive ahead.",
      {"", "mean", "sd", "5 %", "median", "95 %", "95 % of size", "largest"},
      {spread_line("Placement error", all.placement_error, units),
       spread_line("Band length", all.band_length, units)},
      1};
  std::string verdicts;
  if (summary.requirements.empty()) {
    verdicts =
        output::paragraph_html("The scenario states no requirement, so there is no verdict.");
  } else {
    output::Table table{
        "", {"Requirement", "Verdict", "Limit", "Value", "Margin", "Worst at"}, {}, 2};
    for (const measure::RequirementResult& one : summary.requirements) {
      const output::Measure measure = output::measure_of(one.unit);
      table.lines.push_back({requirement_words(one), requirement_word(one),
                             sense_words(one) + output::shown_plain(one.limit, measure, units, 1),
                             output::shown_beside(one.value, one.limit, measure, units),
                             margin_words(one.margin, measure, units), worst_words(one.worst)});
    }
    verdicts = output::table_html(table);
  }
  return output::section_html("Requirements",
                              verdicts + output::table_html(within) + output::table_html(spreads));
}

std::string figures_section(const RunResult& result, output::Units units) {
  const measure::Figures& all = result.summary.all;
  const measure::SeedCounts& seeds = all.seeds;
  const auto share = [&](double value_ratio) {
    return output::shown(value_ratio, output::Measure::kShare, units);
  };
  output::Table liquid{"", {"Liquid", ""}, {}, 1};
  liquid.lines = {
      {"Dose of a band, mean and sd",
       output::shown(all.dose_mean_m3, output::Measure::kDose, units) + " ± " +
           output::shown(all.dose_sd_m3, output::Measure::kDose, units)},
      {"Dose within 10 % of the commanded dose, of sensed seeds",
       share(all.dose_within_10_percent_sensed_ratio)},
      {"Length within 10 mm of the commanded length, of sensed seeds",
       share(all.length_within_10mm_sensed_ratio)},
      {"On target: within half a band of the seed, mean and 5 % quantile",
       share(all.on_target_mean_ratio) + "; " + share(all.on_target_p05_ratio)},
      {"Gap share: liquid outside all wanted bands, of all liquid", share(all.gap_ratio)},
      {"Secondary share: dose after the flow first fell below 5 %, mean",
       share(all.secondary_mean_ratio)},
      {"In-band rate, wanted and laid",
       output::shown(result.scenario.rate.in_band_m3pm2, output::Measure::kRate, units) + "; " +
           output::shown(all.in_band_rate_m3pm2, output::Measure::kRate, units)},
      {"Field-average rate", output::shown(all.field_rate_m3pm2, output::Measure::kRate, units)},
      {"Liquid applied in total",
       output::shown(all.applied_volume_m3, output::Measure::kVolume, units)}};
  if (all.outward_max_m > 0.0)
    liquid.lines.push_back(
        {"Beside the row's track, to the outside of the curve: mean and farthest",
         output::shown(all.outward_mean_m, output::Measure::kPlace, units) + "; " +
             output::shown(all.outward_max_m, output::Measure::kPlace, units)});
  output::Table counts{"", {"Seeds and bands", ""}, {}, 1};
  const auto count = [&](const char* what, long long number) {
    counts.lines.push_back({what, std::to_string(number)});
  };
  count("Seeds placed", seeds.placed);
  count("Sensed: raised an edge of their own", seeds.sensed);
  count("With a band of their own", seeds.banded);
  count("In a stretch that serves several seeds, the first one counted", seeds.merged);
  count("Only within another seed's band", seeds.shared);
  count("Not sensed and without a band", seeds.edge_missed);
  count("Sensed but without a band", seeds.no_band);
  count("With a weak band, below half the dose", seeds.weak);
  count("Bands that belong to no seed", all.stray_bands);
  count("Lag between bands and seeds, in seeds (0: own seed)", all.lag_seeds);
  return output::section_html("Liquid, seeds and bands",
                              output::table_html(liquid) + output::table_html(counts));
}

std::string error_section(const RunResult& result, output::Units units) {
  return output::section_html(
      "Placement error of every seed",
      output::figure_html(
          error_by_seed_svg(result, units),
          "Positive: the band lies ahead of its seed in travel direction. Crosses lie outside "
          "the tolerance; those beyond the strip stand on its edge. Black dots: seeds without "
          "a band. With many seeds the dark area holds 5 to 95 % of them and the line is the "
          "median.") +
          "<h3>By row</h3>\n" +
          output::figure_html(
              error_by_row_svg(result, units),
              "Thin line: 5 to 95 %. Thick line: 25 to 75 %. Stroke: median. A row's offset "
              "is its own mount, sensor height and bore.") +
          output::table_html(rows_table(result, units)));
}

std::string furrow_section(const RunResult& result, output::Units units) {
  const FurrowPicture picture = furrow_picture(result, units);
  return output::section_html(
      "The furrow to scale",
      output::figure_html(
          picture.drawing.inline_svg("furrow", picture.title, picture.desc),
          "Where the liquid came to lie in two metres of one row. Height is the line density; the "
          "dashed box is as high as the wanted in-band rate and as long as the commanded band, "
          "centred on the seed. Peaks of a millimetre or two, where late liquid overtakes "
          "early liquid, are cut at twice the wanted density."));
}

std::string pulse_section(const RunResult& result, output::Units units) {
  const std::string svg = pulse_svg(result, units);
  if (svg.empty())
    return output::section_html("One pulse",
                                output::paragraph_html("No pulse was watched in this run."));
  const bench::Watch& watched = result.record.watched;
  std::string caption = "From the command to the jet";
  if (watched.row >= 0 && watched.seed >= 0)
    caption += ", row " + std::to_string(watched.row) + ", seed " + std::to_string(watched.seed);
  return output::section_html(
      "One pulse",
      output::figure_html(
          svg, caption + ". What still leaves after the outlet flow first fell below 5 % of "
                         "its steady value is the secondary share."));
}

std::string spacing_section(const RunResult& result, output::Units units) {
  const measure::SpacingQuality& spacing = result.summary.spacing;
  const auto line = [&](const char* name, const measure::SpacingIndices& indices) {
    return std::vector<std::string>{
        name, output::shown(indices.quality_of_feed_ratio, output::Measure::kShare, units),
        output::shown(indices.multiples_ratio, output::Measure::kShare, units),
        output::shown(indices.misses_ratio, output::Measure::kShare, units),
        output::shown(indices.precision_ratio, output::Measure::kShare, units)};
  };
  output::Table table{"Two conventions are in use and give different figures on the same seeds.",
                      {"Convention", "Quality of feed", "Multiples", "Misses", "Precision"},
                      {line("Shares of the N spacings (Kachman and Smith 1995)", spacing.simple),
                       line("Shares of the N′ theoretical intervals (ISO 7256-1)", spacing.iso),
                       {"For comparison: accepted from corn planters (DB32/T 1023-2007)", "≥ 80 %",
                        "≤ 8 %", "≤ 8 %", "≤ 30 %"}},
                      1};
  return output::section_html(
      "Spacing of the seeds at rest",
      output::table_html(table) +
          output::paragraph_html(std::to_string(spacing.spacings) + " spacings, mean " +
                                 output::shown(spacing.mean_m, output::Measure::kPlace, units) +
                                 ", sd " +
                                 output::shown(spacing.sd_m, output::Measure::kPlace, units) +
                                 "; the reference is the theoretical spacing of " +
                                 output::shown_plain(result.scenario.seeding.meter.spacing_m,
                                                     output::Measure::kPlace, units) +
                                 ".") +
          output::paragraph_html("The comparison is a provincial standard's norm for the "
                                 "acceptance of corn planters; it judges the planter's seeds, not "
                                 "the bands, and nothing here is required to meet it."));
}

std::string health_section(const measure::Summary& summary) {
  const sillion_health& health = summary.health;
  output::Table table{"Counters of all row controllers together.", {"Counter", "Count"}, {}, 1};
  const auto count = [&](const char* what, std::uint32_t number) {
    table.lines.push_back({what, std::to_string(number)});
  };
  count("Edges accepted", health.edges_accepted);
  count("Edges rejected as contact noise", health.edges_rejected);
  count("Seeds without room in the queue", health.queue_overflows);
  count("Firing instants requested too late", health.late_compares);
  count("Seeds given up", health.skipped_seeds);
  count("Seeds merged into the pulse before, the first of a stretch not counted",
        health.merged_seeds);
  count("Times that edges were lost before they were read", health.capture_overflows);
  count("Bad frames", health.bad_frames);
  count("Resets", health.resets);
  count("Time in the continuous stream, ms", health.continuous_ms);
  count("Time without a fresh speed, ms", health.stale_speed_ms);
  return output::section_html("Health of the controllers", output::table_html(table));
}

}  // namespace sim::run
