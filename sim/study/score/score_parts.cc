// A recording that is too long to be held: it is scored as it is read, and what is finished is
// written and let go.
#include <algorithm>
#include <cmath>
#include <utility>

#include "sim/bench/travel_of.h"
#include "sim/measure/summary_parts.h"
#include "sim/scenario/temporal_rule.h"
#include "sim/study/run/applied.h"
#include "sim/study/score/score_setup.h"

namespace sim::score {
namespace {

/// So much of a recording is looked at, at once, to learn whether it can be held.
constexpr double kLook_s = 10.0;

/// What is kept of a row from part to part.
struct RowSoFar {
  RowSoFar(const scenario::Scenario& scenario, int row, const ScoreOptions& options, double later_s)
      : moved(options.start_s, later_s), openings(scenario, row), applied(scenario, row) {}
  Moved moved;
  RowOpenings openings;
  run::AppliedRow applied;
  int seeds = 0, bands = 0;  // that count already
  double from_x_m = -HUGE_VAL;
  measure::RowRecord first;  // for the drawings
};

class ScoreInParts : public bench::PlayedFeed {
 public:
  ScoreInParts(Score& score, CaptureReader& reader, const ScoreOptions& options)
      : score_(score),
        reader_(reader),
        options_(options),
        around_m_(bench::met_around_m(score.result.scenario)),
        summary_(score.result.scenario, reader.rows()) {
    for (std::size_t row = 0; row < reader.rows(); ++row) {
      rows_.emplace_back(score.result.scenario, static_cast<int>(row), options, score.later_s);
      score_.tables.push_back(
          {output::SpilledText(options.folder), output::SpilledText(options.folder)});
      if (reader.records_current()) score_.opening_lines.emplace_back(options.folder);
    }
  }

  /// Moves what was captured into bench time and counts it.
  std::vector<bench::PlayedPart> taken(std::vector<CapturedRow> captured) {
    std::vector<bench::PlayedPart> parts;
    for (std::size_t row = 0; row < captured.size(); ++row) {
      bench::PlayedPart& part = captured[row].pins;
      rows_[row].moved.take(part);
      score_.pulses += static_cast<long long>(part.drives.size());
      std::erase_if(captured[row].openings,
                    [&](const SeenOpening& one) { return one.command_s < options_.start_s; });
      rows_[row].openings.expect(captured[row].openings, score_.later_s);
      parts.push_back(std::move(part));
    }
    return parts;
  }

  More read_on(double until_s) override {
    More more;
    more.ended = !reader_.read_to(until_s - score_.later_s);
    more.rows = taken(reader_.take());
    more.known_s = reader_.known_s() + score_.later_s;
    return more;
  }

  std::vector<double> needed_from_m(const std::vector<bench::RowStretch>& rows) override {
    std::vector<double> behind_m;
    for (std::size_t row = 0; row < rows.size(); ++row)
      behind_m.push_back(take(row, *rows[row].record, rows[row].final_x_m - around_m_, HUGE_VAL));
    return behind_m;
  }

  /// What is left when the pass is over, and the summary; the record's rows then hold the first
  /// part, with the sums of the whole.
  void finish(bench::PassRecord& record) {
    const double end_s = record.simulated_s / static_cast<double>(rows_.size());
    int seeds = 0;
    score_.drawn_seeds = 0;
    for (std::size_t row = 0; row < rows_.size(); ++row) {
      measure::RowRecord& last = record.rows[row];
      take(row, last, HUGE_VAL, end_s);
      write(row, rows_[row].applied.rest(end_s));
      seeds = std::max(seeds, rows_[row].seeds);
      score_.openings.push_back(rows_[row].openings.figures());
    }
    score_.result.scenario.seeds = seeds;
    score_.result.summary = summary_.finish(record.rows, record.simulated_s);
    for (std::size_t row = 0; row < rows_.size(); ++row) {
      measure::RowRecord& first = rows_[row].first;
      measure::RowRecord& last = record.rows[row];
      score_.drawn_seeds += static_cast<long long>(first.seeds.size());
      last.seeds = std::move(first.seeds);
      last.bands = std::move(first.bands);
      last.covered = std::move(first.covered);
      // The seeds are the first ones; bands that do not stand here still count as pulses.
      last.first_seed = 0;
      last.first_band = rows_[row].bands - static_cast<int>(last.bands.size());
      last.coil = {};
    }
    if (score_.opening_lines.empty()) score_.openings.clear();
  }

 private:
  void write(std::size_t row, const std::vector<run::AppliedSecond>& seconds) {
    for (const run::AppliedSecond& one : seconds)
      score_.tables[row].applied.append(run::applied_line(one));
  }

  /// Counts the seeds and bands behind `to_x_m`; returns behind which place nothing is needed.
  double take(std::size_t row, const measure::RowRecord& record, double to_x_m, double end_s) {
    RowSoFar& so_far = rows_[row];
    measure::RowRecord here = record;
    measure::match_bands(here, measure::placement_rules_of(score_.result.scenario));
    measure::StretchOfRow stretch{.row = static_cast<int>(row),
                                  .from_x_m = so_far.from_x_m,
                                  .to_x_m = std::max(so_far.from_x_m, to_x_m)};
    stretch.first_seed = static_cast<std::size_t>(so_far.seeds - here.first_seed);
    stretch.first_band = static_cast<std::size_t>(so_far.bands - here.first_band);
    stretch.last_seed = stretch.first_seed;
    while (stretch.last_seed < here.seeds.size() &&
           here.seeds[stretch.last_seed].rest_x_ground_m < stretch.to_x_m)
      ++stretch.last_seed;
    stretch.last_band = stretch.first_band;
    while (stretch.last_band < here.bands.size() &&
           !(here.bands[stretch.last_band].centre_x_ground_m >= stretch.to_x_m))
      ++stretch.last_band;
    summary_.take(here, stretch);
    keep_lines(row, here, stretch, end_s);
    const bool first = so_far.from_x_m == -HUGE_VAL;
    so_far.from_x_m = stretch.to_x_m;
    so_far.seeds = here.first_seed + static_cast<int>(stretch.last_seed);
    so_far.bands = here.first_band + static_cast<int>(stretch.last_band);
    const double behind_m = reaches_back_to_m(here, stretch.to_x_m);
    if (first) {
      here.seeds.resize(stretch.last_seed);
      so_far.first = std::move(here);
    }
    return behind_m;
  }

  void keep_lines(std::size_t row, const measure::RowRecord& here,
                  const measure::StretchOfRow& stretch, double end_s) {
    RowSoFar& so_far = rows_[row];
    std::string lines;
    for (std::size_t seed = stretch.first_seed; seed < stretch.last_seed; ++seed) {
      run::add_seed_line(row, here, seed, lines);
      so_far.applied.take(here.seeds[seed]);
    }
    score_.tables[row].seeds.append(lines);
    for (std::size_t band = stretch.first_band; band < stretch.last_band; ++band)
      so_far.applied.take(here.bands[band]);
    const bool last = stretch.to_x_m == HUGE_VAL;
    if (last)
      for (const measure::EventMark& event : here.events) so_far.applied.take(event);
    if (stretch.last_seed == 0 || stretch.last_band == 0) {
      if (!last) return;
    }
    const double band_s =
        stretch.last_band > 0 ? here.bands[stretch.last_band - 1].open_s : HUGE_VAL;
    if (!last)
      write(row, so_far.applied.before(
                     static_cast<std::size_t>(
                         std::max(0.0, std::min(band_s, here.seeds[stretch.last_seed - 1].edge_s))),
                     end_s));
    if (score_.opening_lines.empty()) return;
    std::string openings;
    so_far.openings.compare(here.coil.openings, last ? HUGE_VAL : band_s, openings);
    score_.opening_lines[row].append(openings);
  }

  /// Bands that reach beyond the place are needed whole, with the seeds that they may serve.
  double reaches_back_to_m(const measure::RowRecord& here, double to_x_m) const {
    double from_m = to_x_m - around_m_;
    for (const measure::BandRecord& band : here.bands)
      if (band.end_x_ground_m >= to_x_m - around_m_)
        from_m = std::min(from_m, band.start_x_ground_m - around_m_);
    return from_m;
  }

  Score& score_;
  CaptureReader& reader_;
  const ScoreOptions& options_;
  double around_m_;
  measure::SummaryInParts summary_;
  std::vector<RowSoFar> rows_;
};

/// What is not judged need not be held; a drive that may still be on decides when it goes off.
void leave_out_before(double start_s, std::vector<CapturedRow>& held) {
  for (CapturedRow& row : held) {
    std::erase_if(row.pins.edges,
                  [&](const bench::EdgePair& one) { return one.rising_s < start_s; });
    std::erase_if(row.pins.drives,
                  [&](const bench::DrivenTime& one) { return one.off_s < start_s; });
    std::erase_if(row.openings, [&](const SeenOpening& one) { return one.command_s < start_s; });
  }
}

/// What has been read so far, as a whole.
void add_to(std::vector<CapturedRow> more, std::vector<CapturedRow>& held) {
  if (held.empty()) {
    held = std::move(more);
    return;
  }
  for (std::size_t row = 0; row < held.size(); ++row) {
    bench::PlayedPart& own = held[row].pins;
    const bench::PlayedPart& part = more[row].pins;
    if (!std::isnan(part.before_off_s) && !own.drives.empty())
      own.drives.back().off_s = part.before_off_s;
    own.edges.insert(own.edges.end(), part.edges.begin(), part.edges.end());
    own.drives.insert(own.drives.end(), part.drives.begin(), part.drives.end());
    held[row].openings.insert(held[row].openings.end(), more[row].openings.begin(),
                              more[row].openings.end());
  }
}

long long seeds_in(const std::vector<CapturedRow>& held) {
  long long seeds = 0;
  for (const CapturedRow& row : held) seeds += static_cast<long long>(row.pins.edges.size());
  return seeds;
}

Capture whole(std::vector<CapturedRow> held, const CaptureReader& reader) {
  const Resolution resolution = reader.resolution();
  Capture capture;
  capture.lasts_s = reader.known_s();
  capture.resolution_s = resolution.step_s;
  capture.resolution_known = resolution.known;
  capture.current_step_s = resolution.current_step_s;
  capture.doubts = reader.doubts();
  for (CapturedRow& row : held) {
    capture.rows.push_back({std::move(row.pins.edges), std::move(row.pins.drives)});
    capture.openings.push_back(std::move(row.openings));
  }
  return capture;
}

double first_edge_s(const std::vector<CapturedRow>& held, double start_s) {
  double first_s = HUGE_VAL;
  for (const CapturedRow& row : held)
    for (const bench::EdgePair& edge : row.pins.edges)
      if (edge.rising_s >= start_s) first_s = std::min(first_s, edge.rising_s);
  return first_s;
}

Score score_in_parts(const scenario::Scenario& setup, std::vector<CapturedRow> held,
                     CaptureReader& reader, const ScoreOptions& options) {
  Score score;
  score.later_s =
      later_than_recorded_s(first_edge_s(held, options.start_s), reader.known_s(), {}, options);
  set_up(setup, reader.rows(), score);
  run::RunResult& result = score.result;
  ScoreInParts parts(score, reader, options);
  bench::Played played = played_with(score, options);
  played.end_s = reader.known_s() + score.later_s;
  for (bench::PlayedPart& part : parts.taken(std::move(held)))
    played.rows.push_back({std::move(part.edges), std::move(part.drives)});
  result.record = bench::run_pass(
      result.scenario, result.tuned.table, {},
      {.watch = run::RunOptions{}.watch,
       .stop = options.stop,
       .on_progress = options.on_progress
                          ? [&](double) { options.on_progress(reader.done_ratio()); }
                          : std::function<void(double)>{},
       .keep_coil = reader.records_current(),
       .played = &played,
       .feed = &parts});
  parts.finish(result.record);
  run::show_watched(result);
  const Resolution resolution = reader.resolution();
  score.lasts_s = reader.known_s();
  score.doubts = reader.doubts();
  score.current_step_s = resolution.current_step_s;
  score.resolution_s = resolution.step_s;
  score.resolution_known = resolution.known;
  score.half_resolution_m = 0.5 * score.resolution_s * fastest_mps(result.scenario);
  return score;
}

}  // namespace

Score score_of(const scenario::Scenario& setup, CaptureReader& reader,
               const ScoreOptions& options) {
  const bool over_time = std::any_of(setup.requirements.begin(), setup.requirements.end(),
                                     [](const scenario::Requirement& one) {
                                       return one.rule.form != scenario::TemporalForm::kNone;
                                     });
  std::vector<CapturedRow> held;
  bool goes_on = true;
  while (goes_on && (over_time || seeds_in(held) <= options.held_seeds)) {
    goes_on = reader.read_to(reader.known_s() + kLook_s);
    add_to(reader.take(), held);
    leave_out_before(options.start_s, held);
  }
  if (goes_on) return score_in_parts(setup, std::move(held), reader, options);
  const bool long_one = seeds_in(held) > options.held_seeds;
  Score score = score_of(setup, whole(std::move(held), reader), options);
  score.held_for_time = over_time && long_one;
  return score;
}

}  // namespace sim::score
