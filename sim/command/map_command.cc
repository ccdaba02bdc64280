// `map`: what a run applied, as files that other programs open.
#include <fmt/format.h>

#include <algorithm>
#include <cstdio>
#include <memory>

#include "sim/command/commands.h"
#include "sim/command/exit_code.h"
#include "sim/command/out_lock.h"
#include "sim/command/place_options.h"
#include "sim/command/progress.h"
#include "sim/study/map/map.h"
#include "sim/study/map/map_words.h"
#include "sim/text/document.h"
#include "sim/text/nearest.h"

namespace sim::command {
namespace {

constexpr std::size_t kMostLogBytes = 256'000'000;

struct MapOptions : CommonOptions, PlaceOptions {
  std::filesystem::path out;
  output::Units units = output::Units::kMetric;
  std::string formats, layers;
  bool dry_run = false;
};

void define_map(CommandWords& words, MapOptions& options) {
  add_common_options(words, options, "RESULT", "folder that `sillion run` has written");
  words.path("--out", options.out,
             "folder of the map (else out/RESULT_map, after the last part of RESULT)");
  add_units_option(words, options.units);
  words.text("--format", options.formats,
             "formats to write, with commas between: gpkg, geojson, csv, task (else all)");
  words.text("--layers", options.layers,
             "layers to write, with commas between: bands, seconds (else both)");
  add_log_option(words, options);
  add_layout_options(words, options, "without a log: ");
  add_dry_run_option(words, options.dry_run);
  words.examples({"sillion map out/demo --origin \"45.5,-93.5\" --heading \"12 deg\"",
                  "sillion map out/demo --format gpkg,task --layers seconds --out out/demo_map"});
}

/// The words of a list, each one of `known`; all of them where nothing is stated.
std::vector<std::string> words_of(const std::string& option, const std::string& stated,
                                  const std::vector<std::string>& known) {
  if (stated.empty()) return known;
  std::vector<std::string> words;
  for (std::size_t at = 0; at <= stated.size();) {
    const std::size_t comma = std::min(stated.find(',', at), stated.size());
    const std::string word = stated.substr(at, comma - at);
    if (std::find(known.begin(), known.end(), word) == known.end()) {
      std::string valid;
      for (const std::string& one : known) valid += (valid.empty() ? "" : ", ") + one;
      const std::string nearest = text::nearest_name(word, known);
      throw text::InputError(
          option + ": unknown `" + word + "`; " +
          (nearest.empty() ? "valid: " + valid : "nearest valid name: `" + nearest + "`"));
    }
    words.push_back(word);
    at = comma + 1;
  }
  return words;
}

map::MapChoice choice_of(const MapOptions& options) {
  const std::vector<std::string> formats =
      words_of("--format", options.formats, {"gpkg", "geojson", "csv", "task"});
  const std::vector<std::string> layers =
      words_of("--layers", options.layers, {"bands", "seconds"});
  const auto has = [](const std::vector<std::string>& words, const char* word) {
    return std::find(words.begin(), words.end(), word) != words.end();
  };
  return {.geopackage = has(formats, "gpkg"),
          .geojson = has(formats, "geojson"),
          .csv = has(formats, "csv"),
          .task = has(formats, "task"),
          .bands = has(layers, "bands"),
          .seconds = has(layers, "seconds")};
}

map::FieldPlace place_of(const MapOptions& options, const map::KeptRun& run) {
  const map::FieldLayout layout = layout_of(options);
  if (options.log.empty()) return map::FieldPlace::laid(run, layout);
  return map::FieldPlace::logged(
      run, scenario::read_nmea(text::read_text(options.log, kMostLogBytes)), options.log.string());
}

/// The last part of a path, also of one that ends in a slash.
std::string folder_name(const std::filesystem::path& folder) {
  const std::filesystem::path plain = std::filesystem::absolute(folder).lexically_normal();
  return (plain.filename().empty() ? plain.parent_path() : plain).filename().string();
}

void say(const std::string& line) { std::fputs((line + "\n").c_str(), stdout); }

int execute_map(const MapOptions& options, const std::atomic<bool>& stop) {
  const map::MapChoice choice = choice_of(options);
  const map::KeptRun run = map::read_kept_run(options.input);
  const map::FieldPlace place = place_of(options, run);
  const std::filesystem::path out =
      options.out.empty() ? std::filesystem::path("out") / (folder_name(options.input) + "_map")
                          : options.out;
  long long bands = 0;
  for (const run::AppliedSecond& one : run.applied) bands += one.bands;
  if (options.dry_run) {
    say(fmt::format("{} bands, {} seconds of {} rows; results: {}", bands, run.seconds, run.rows,
                    out.string()));
    return kHeld;
  }
  const OutLock lock(out, options.typed);
  output::StreamedFolder folder(out);
  const map::MapTotals totals = [&] {
    Progress progress(run.name + " map", {}, options.hides_progress());
    return map::write_map(run, place, choice, folder, &stop,
                          [&](double done_ratio) { progress.at(done_ratio); });
  }();
  const std::string json = map::map_json(run, place, totals);
  output::StreamedFile summary(folder.path_of("map.json"));
  summary.put(json);
  summary.close();
  folder.finish();
  map::remove_others(totals, out);
  if (options.json) {
    std::fputs(json.c_str(), stdout);
  } else {
    for (const std::string& line : map::map_lines(run, place, totals, options.units)) say(line);
    for (const std::string& file : totals.files)
      say(fmt::format("{}: {}", file, (out / file).string()));
  }
  return bands > 0 ? kHeld : kNothingToJudge;
}

}  // namespace

Command map_command() {
  const auto options = std::make_shared<MapOptions>();
  return {
      .name = "map",
      .description = "what a run applied, as maps and as machine data",
      .define = [options](CommandWords& words) { define_map(words, *options); },
      .execute = [options](const std::atomic<bool>& stop) { return execute_map(*options, stop); },
      .common = options.get()};
}

}  // namespace sim::command
