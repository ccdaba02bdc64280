#include "sim/command/browser/row_module.h"

#include <algorithm>
#include <charconv>
#include <system_error>

#include "sim/scenario/checks.h"
#include "sim/scenario/sections.h"
#include "sim/study/page/page_field.h"
#include "sim/study/run/seal.h"
#include "sim/study/run/tables.h"
#include "sim/text/input_error.h"
#include "sim/text/selective_fields.h"
#include "sim/text/shell_word.h"

namespace sim::command {
namespace {

constexpr std::string_view kOwnKeys[] = {"travel.speed",
                                         "seeding.spacing",
                                         "rate.in_band",
                                         "rate.band_length",
                                         "supply.pressure",
                                         "supply.voltage",
                                         "attachment.outlet_offset",
                                         "attachment.jet.drop_height",
                                         "controller.delay_time_error",
                                         "controller.delay_distance_error"};

/// Sets one quantity after the other where it is described.
class SettingFields : public text::SelectiveFields {
 public:
  explicit SettingFields(const page::Setting& setting) : setting_(setting) {}
  bool found = false;

  void quantity(std::string_view key, double& value_si, text::Kind kind, text::Range range,
                std::string_view) override {
    if (dotted(key) != setting_.key) return;
    const text::Quantity read = text::parse_quantity(setting_.value, kind);
    if (!read.error.empty()) throw text::InputError(setting_.key + ": " + read.error);
    const bool low = range.above ? read.value_si <= range.low_si : read.value_si < range.low_si;
    if (low || read.value_si > range.high_si)
      throw text::InputError(setting_.key + ": \"" + setting_.value + "\" is out of range");
    value_si = read.value_si;
    found = true;
  }

 private:
  const page::Setting& setting_;
};

/// Refuses keys that contradict each other, in the loader's words. What the scenario states itself
/// was judged when it was loaded.
void require_sound(const scenario::Scenario& set, const std::vector<page::Setting>& settings) {
  text::Places places;
  places["controller.delay_time"] = {};  // stated somewhere, where a delay is given
  for (const page::Setting& one : settings) places[one.key] = {.file = {}, .set_key = one.key};
  scenario::check_scenario(set, places, {.file = set.name, .set_key = {}});
}

std::vector<page::Setting> settings_in(std::string_view lines) {
  std::vector<page::Setting> settings;
  while (!lines.empty()) {
    const std::size_t end = std::min(lines.find('\n'), lines.size());
    const std::string_view line = lines.substr(0, end);
    lines.remove_prefix(std::min(end + 1, lines.size()));
    const std::size_t equals = line.find('=');
    if (equals == line.npos) throw text::InputError(std::string(line) + ": is no KEY=VALUE");
    settings.push_back({std::string(line.substr(0, equals)), std::string(line.substr(equals + 1))});
  }
  return settings;
}

page::PageInput input_of(const RowContents& contents, const std::vector<page::Setting>& settings) {
  page::PageInput input;
  input.scenario = with_settings(contents.scenario, settings);
  for (const page::Setting& one : settings) input.sets.push_back(one.key + "=" + one.value);
  input.sets.emplace_back("row.count=1");
  for (std::string& set : page::take_page_field(input.scenario))
    input.sets.push_back(std::move(set));
  input.command = contents.command;
  for (const std::string& set : input.sets) input.command += " --set " + text::shell_word(set);
  return input;
}

}  // namespace

std::span<const std::string_view> module_keys() { return kOwnKeys; }

scenario::Scenario with_settings(const scenario::Scenario& scenario,
                                 const std::vector<page::Setting>& settings) {
  scenario::Scenario set = scenario;
  for (const page::Setting& one : settings) {
    const bool known =
        std::find(std::begin(kOwnKeys), std::end(kOwnKeys), one.key) != std::end(kOwnKeys);
    // A drive or a list of spacings states these itself.
    const bool stated = (one.key == "travel.speed" && !scenario.travel.profile.empty()) ||
                        (one.key == "seeding.spacing" && !scenario.seeding.spacings_m.empty());
    SettingFields fields(one);
    if (known && !stated) scenario::describe(set, fields);
    if (!fields.found) throw text::InputError(one.key + ": the row's module does not set this key");
  }
  require_sound(set, settings);
  return set;
}

RowModule::RowModule(const std::string& contents) : contents_(read_contents(contents)) {
  if (contents_.known) desk_.keep(*contents_.known);
}

std::string RowModule::answer(const std::string& question) {
  const std::size_t end = std::min(question.find('\n'), question.size());
  const std::string kind = question.substr(0, end);
  const std::string_view rest =
      std::string_view(question).substr(std::min(end + 1, question.size()));
  const std::vector<page::Setting> settings = settings_in(rest);
  if (kind == "run") {
    const run::RunResult result = run::run_scenario(with_settings(contents_.scenario, settings));
    return run::unhashed_summary_json(result) + run::seeds_csv(result);
  }
  if (kind == "contents") {
    RowContents now = contents_;
    now.known = desk_.kept();
    return contents_text(now);
  }
  if (kind != "full" && kind != "coarse")
    throw text::InputError(kind + ": the row's module has no such answer");
  const page::PageInput input = input_of(contents_, settings);
  return page::row_json(kind == "full" ? desk_.full(input) : desk_.coarse(input), input,
                        contents_.units);
}

}  // namespace sim::command
