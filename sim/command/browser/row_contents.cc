#include "sim/command/browser/row_contents.h"

#include <charconv>
#include <string_view>
#include <utility>

#include "sim/scenario/loader.h"
#include "sim/study/tune/kept_text.h"
#include "sim/study/unit/canonical_read.h"
#include "sim/text/input_error.h"
#include "sim/text/quantity.h"

namespace sim::command {
namespace {

constexpr std::string_view kContentsLine = "sillion row module 1\n";

[[noreturn]] void refuse_contents(const std::string& why) {
  throw text::InputError("contents of the row's module: " + why);
}

double number_of(std::string_view word) {
  double value_si = 0.0;
  const auto [end, error] = std::from_chars(word.data(), word.data() + word.size(), value_si);
  if (error != std::errc() || end != word.data() + word.size())
    refuse_contents("`" + std::string(word) + "` is no number");
  return value_si;
}

std::vector<std::string_view> words_in(std::string_view line) {
  std::vector<std::string_view> words;
  while (!line.empty()) {
    const std::size_t space = std::min(line.find(' '), line.size());
    if (space > 0) words.push_back(line.substr(0, space));
    line.remove_prefix(std::min(space + 1, line.size()));
  }
  return words;
}

/// Takes the lines of a numbered list out of the text, in their order.
std::vector<std::string> take_list(std::string& text, const std::string& key) {
  std::vector<std::string> lines;
  for (std::size_t from = 0; from < text.size();) {
    const std::size_t to = text.find('\n', from) + 1;
    const std::string line = text.substr(from, to - from);
    if (!line.starts_with(key + ".0")) {
      from = to;
      continue;
    }
    const std::size_t value = line.find(" = ") + 3;
    lines.push_back(line.substr(value, line.size() - value - 1));
    text.erase(from, to - from);
  }
  return lines;
}

scenario::Requirement requirement_of(const std::string& line) {
  const std::vector<std::string_view> words = words_in(line);
  if (words.size() != 3 || (words[1] != "<=" && words[1] != ">="))
    refuse_contents("`" + line + "` is no plain requirement");
  return {
      .metric = std::string(words[0]),
      .sense = words[1] == "<=" ? scenario::BoundSense::kAtMost : scenario::BoundSense::kAtLeast,
      .bound = number_of(words[2])};
}

scenario::Scenario scenario_of_text(std::string text) {
  const std::vector<std::string> knots = take_list(text, "travel.profile");
  const std::vector<std::string> spacings = take_list(text, "seeding.spacings");
  const std::vector<std::string> requirements = take_list(text, "require");
  scenario::Scenario scenario = unit::read_canonical(text);
  for (const std::string& line : knots) {
    const std::vector<std::string_view> words = words_in(line);
    if (words.size() != 3) refuse_contents("`" + line + "` is no knot of a drive");
    scenario.travel.profile.push_back({.time_s = number_of(words[0]),
                                       .speed_mps = number_of(words[1]),
                                       .yaw_rate_radps = number_of(words[2])});
  }
  for (const std::string& line : spacings) scenario.seeding.spacings_m.push_back(number_of(line));
  for (const std::string& line : requirements)
    scenario.requirements.push_back(requirement_of(line));
  return scenario;
}

/// What stands in neither text nor lists would be lost without a word.
std::string exact_text(const scenario::Scenario& scenario) {
  const scenario::ControllerSection& controller = scenario.controller;
  if (!controller.library.empty() || !controller.table.empty())
    throw text::InputError(scenario.name +
                           ": the row's module carries the reference controller with a table "
                           "that is tuned, and nothing from a file");
  std::string text = scenario::canonical_text(scenario);
  if (scenario::canonical_text(scenario_of_text(text)) != text)
    throw text::InputError(scenario.name + ": the row's module cannot carry this scenario exactly");
  return text;
}

std::string block_of(const std::string& text, const std::string& name) {
  const std::size_t from = text.find("\n[" + name + "]\n");
  if (from == text.npos) return {};
  const std::size_t start = from + name.size() + 4;
  const std::size_t end = text.find("\n[", start - 1);
  return text.substr(start, end == text.npos ? text.npos : end + 1 - start);
}

std::string line_of(const std::string& text, const std::string& key) {
  const std::size_t from = text.find("\n" + key + " = ");
  if (from == text.npos) refuse_contents("`" + key + " = ...` is missing");
  const std::size_t start = from + key.size() + 4;
  return text.substr(start, text.find('\n', start) - start);
}

std::string one_line(std::string words) {
  for (char& one : words)
    if (one == '\n') one = ' ';
  return words;
}

}  // namespace

std::string contents_text(const RowContents& contents) {
  const scenario::Scenario& scenario = contents.scenario;
  std::string text(kContentsLine);
  text += "name = " + one_line(scenario.name) + "\ntitle = " + one_line(scenario.title) +
          "\ncommand = " + one_line(contents.command) + "\n";
  text += std::string("units = ") + (contents.units == output::Units::kUs ? "us" : "metric") +
          "\n[scenario]\n";
  text += exact_text(scenario);
  if (!contents.known) return text;
  text += "[known]\n" + exact_text(contents.known->scenario);
  text += "[table]\n" + tune::table_text(contents.known->tuned);
  if (!contents.known->trim_um.empty())
    text += "[trims]\n" + tune::trims_text(contents.known->trim_um);
  return text;
}

RowContents read_contents(const std::string& text) {
  if (!text.starts_with(kContentsLine)) refuse_contents("the first line is another");
  RowContents contents;
  contents.scenario = scenario_of_text(block_of(text, "scenario"));
  contents.scenario.name = line_of(text, "name");
  contents.scenario.title = line_of(text, "title");
  contents.command = line_of(text, "command");
  contents.units = line_of(text, "units") == "us" ? output::Units::kUs : output::Units::kMetric;
  const std::string known = block_of(text, "known");
  if (known.empty()) return contents;
  contents.known.emplace();
  contents.known->scenario = scenario_of_text(known);
  const std::optional<tune::TunedTable> table = tune::table_of_text(block_of(text, "table"));
  if (!table) refuse_contents("its delay table is another");
  contents.known->tuned = *table;
  const std::string trims = block_of(text, "trims");
  if (trims.empty()) return contents;
  const auto rows = static_cast<std::size_t>(contents.known->scenario.row.count);
  const std::optional<std::vector<int>> trim_um = tune::trims_of_text(trims, rows);
  if (!trim_um) refuse_contents("its trims are others");
  contents.known->trim_um = *trim_um;
  return contents;
}

}  // namespace sim::command
