#include "sim/study/check/baseline.h"

#include <fnmatch.h>

#include <algorithm>
#include <charconv>
#include <cmath>
#include <limits>

#include "sim/study/check/judged_metrics.h"
#include "sim/text/document.h"
#include "sim/text/quantity.h"

namespace sim::check {
namespace {

constexpr std::string_view kBaselineSchema = "# sillion baseline 1";
constexpr std::string_view kTightest = "tightest margin";
constexpr std::size_t kMostBytes = 50'000'000;

/// Splits at tabs and nothing else, because a reason may contain quotes.
std::vector<std::string> tab_cells(const std::string& line) {
  std::vector<std::string> cells(1);
  for (const char c : line)
    if (c == '\t')
      cells.emplace_back();
    else
      cells.back() += c;
  return cells;
}

double number_si(const std::string& cell, const text::Place& place, const std::string& name) {
  if (cell.empty()) return statistics::kNone_ratio;
  double value_si = 0.0;  // tidy: unit is the metric's
  const auto [end, error] = std::from_chars(cell.data(), cell.data() + cell.size(), value_si);
  if (error != std::errc() || end != cell.data() + cell.size())
    text::fail(place, name, "\"" + cell + "\" is no number");
  return value_si;
}

/// The text cell of a case with that name; null for a metric.
std::string* words_of(BaselineCase& one, const std::string& name) {
  if (name == "inputs") return &one.inputs;
  if (name == "result") return &one.result;
  if (name == "reason") return &one.reason;
  return nullptr;
}

void read_line(const std::string& line, const text::Place& place, Baseline& baseline) {
  const std::vector<std::string> cells = tab_cells(line);
  if (cells.size() != 5)
    text::fail(place, {},
               "must be case, name, value, value at the release mark and unit, with tabs");
  const std::string& name = cells[1];
  BaselineCase& one = baseline.cases[cells[0]];
  if (std::string* words = words_of(one, name)) {
    if (!words->empty()) text::fail(place, name, "appears twice for the case " + cells[0]);
    *words = cells[2];
    return;
  }
  const BaselineValue value{number_si(cells[2], place, name), number_si(cells[3], place, name),
                            cells[4]};
  if (!one.values.emplace(name, value).second)
    text::fail(place, name, "appears twice for the case " + cells[0]);
}

std::string number_words(double value_si) {
  return std::isnan(value_si) ? "" : text::shortest_text(value_si);
}

/// A reason must be one cell of one line.
std::string on_one_line(std::string text) {
  for (char& c : text)
    if (static_cast<unsigned char>(c) < 0x20) c = ' ';
  return text;
}

}  // namespace

Baseline read_baseline(const std::filesystem::path& file) {
  const std::string text = text::read_text(file, kMostBytes);
  text::Place place{file.string(), 0, {}};
  Baseline baseline;
  for (std::size_t at = 0; at < text.size();) {
    const std::size_t end = std::min(text.find('\n', at), text.size());
    const std::string line = text.substr(at, end - at);
    at = end + 1;
    ++place.line;
    if (place.line == 1 && line != kBaselineSchema)
      text::fail(place, {},
                 "not a baseline of this schema: the first line must be `" +
                     std::string(kBaselineSchema) + "`, not `" + line.substr(0, 60) + "`");
    if (place.line > 1) read_line(line, place, baseline);
  }
  if (place.line == 0) text::fail(place, {}, "is empty: no baseline");
  return baseline;
}

std::string baseline_text(const Baseline& baseline) {
  std::string text = std::string(kBaselineSchema) + "\n";
  for (const auto& [id, one] : baseline.cases) {
    const auto line = [&text, &of = id](const std::string& name, const std::string& value,
                                        const std::string& released, const std::string& unit) {
      text += of + "\t" + name + "\t" + value + "\t" + released + "\t" + unit + "\n";
    };
    line("inputs", one.inputs, "", "hash");
    line("reason", one.reason, "", "words");
    line("result", one.result, "", "hash");
    for (const auto& [name, value] : one.values)
      line(name, number_words(value.value_si), number_words(value.released_si), value.unit);
  }
  return text;
}

BaselineCase baseline_case_of(const CaseResult& result, const BaselineCase* before,
                              const std::string& reason) {
  BaselineCase one{.values = {},
                   .inputs = result.inputs,
                   .result = result.hashes.result,
                   .reason = on_one_line(reason)};
  const auto mark_si = [&](const std::string& name, double value_si) {
    if (before == nullptr) return value_si;
    const auto found = before->values.find(name);
    return found == before->values.end() ? value_si : found->second.released_si;
  };
  for (std::size_t k = 0; k < judged_metrics().size(); ++k) {
    const std::string name(judged_metrics()[k].name);
    one.values[name] = {result.figures_si[k], mark_si(name, result.figures_si[k]),
                        std::string(unit_of_metric(name))};
  }
  const double tightest_ratio = tightness_ratio(result);
  one.values[std::string(kTightest)] = {tightest_ratio,
                                        mark_si(std::string(kTightest), tightest_ratio), "ratio"};
  return one;
}

Movements movements_of(const CaseResult& result, const BaselineCase* before,
                       const std::vector<double>& margins_si) {
  Movements moved;
  if (before == nullptr || result.state != CaseState::kJudged) return moved;
  const bool same = result.hashes.result == before->result;
  for (std::size_t k = 0; k < judged_metrics().size(); ++k) {
    const JudgedMetric& judged = judged_metrics()[k];
    const auto found = before->values.find(std::string(judged.name));
    if (found == before->values.end()) continue;
    const double now_si = result.figures_si[k];  // tidy: unit is the metric's
    Moved one{.metric = std::string(judged.name),
              .unit = found->second.unit,
              .before_si = found->second.value_si,
              .now_si = now_si,
              .margin_si = margins_si[k]};
    one.worse_si = worsening_si(judged.better, now_si, one.before_si);
    one.drift_worse_si = worsening_si(judged.better, now_si, found->second.released_si);
    if (one.worse_si > one.margin_si) moved.worse.push_back(one);
    if (-one.worse_si > one.margin_si) moved.better.push_back(one);
    if (one.drift_worse_si > one.margin_si) moved.drifted.push_back(one);
  }
  if (!same && result.inputs == before->inputs)
    moved.movement = Movement::kBroken;
  else if (!moved.worse.empty())
    moved.movement = Movement::kWorse;
  else if (same)
    moved.movement = Movement::kSame;
  else
    moved.movement = moved.better.empty() ? Movement::kChanged : Movement::kBetter;
  return moved;
}

bool glob_matches(const std::string& glob, const std::string& text) {
  return fnmatch(glob.c_str(), text.c_str(), 0) == 0;
}

double accepted_tightness_ratio(const BaselineCase* before) {
  if (before == nullptr) return -std::numeric_limits<double>::infinity();
  const auto found = before->values.find(std::string(kTightest));
  return found == before->values.end() ? -std::numeric_limits<double>::infinity()
                                       : found->second.value_si;
}

}  // namespace sim::check
