// `today`: how fast an attachment may go at today's temperature, pressure and voltage.
#include <fmt/format.h>

#include <cmath>
#include <cstdio>
#include <memory>
#include <optional>

#include "sim/command/attachment_input.h"
#include "sim/command/commands.h"
#include "sim/command/exit_code.h"
#include "sim/command/kept_findings.h"
#include "sim/command/out_lock.h"
#include "sim/command/progress.h"
#include "sim/scenario/catalog.h"
#include "sim/scenario/delay_file.h"
#include "sim/study/delay/today_tables.h"
#include "sim/study/tune/tune_once.h"

namespace sim::command {
namespace {

struct TodayOptions : AttachmentOptions {
  std::string temperature, pressure, voltage;  // with units; empty: as the scenario states it
  std::filesystem::path table;                 // a delay table's file
};

void define_today(CommandWords& words, TodayOptions& options) {
  add_attachment_options(words, options);
  words.text("--temperature", options.temperature, "temperature of the liquid today, such as 6C");
  words.text("--pressure", options.pressure,
             "highest pressure that the pump holds today, such as \"3 bar\"");
  words.text("--voltage", options.voltage, "supply voltage today, such as 11.5V");
  words.path("--table", options.table,
             "file of a delay table (else the one beside the attachment's file or in the catalog)");
  words.examples({"sillion today \"short rake\" --scenario scenarios/demo.toml --temperature 6C",
                  "sillion today \"swan neck\" --scenario scenarios/demo.toml --pressure "
                  "\"2 bar\" --json"});
}

/// --table, the table beside an attachment's own file, or the one in the catalog; none otherwise.
std::optional<scenario::DelayFile> stated_table(const TodayOptions& options,
                                                const delay::DelayInputs& reference,
                                                std::string& words) {
  std::filesystem::path file = options.table;
  std::error_code ignored;
  if (file.empty()) {
    file = options.input;
    file.replace_extension(".delay.toml");
    if (!std::filesystem::is_regular_file(file, ignored)) file.clear();
  }
  if (file.empty()) {
    const std::filesystem::path folder =
        options.scenario.empty() ? std::filesystem::path(".") : options.scenario.parent_path();
    file = scenario::delay_file_of(reference.scenario.attachment.name, folder);
  }
  if (file.empty()) {
    words = "no delay table beside the attachment: one was tuned on the scenario's machine first";
    return {};
  }
  scenario::DelayFile read = scenario::read_delay_file(file);
  const scenario::Grade grade = scenario::grade_of(read, reference.scenario.attachment);
  words = "table " + file.string() + ", " +
          (grade.why_not.empty() ? "evidence " + grade.grade : "no grade: " + grade.why_not);
  return read;
}

int execute_today(const TodayOptions& options, const std::atomic<bool>& stop) {
  const delay::DelayInputs reference = delay_inputs(options.input, options.scenario, options.sets);
  std::vector<OwnOption> today_is;
  const auto state = [&](const char* option, const char* key, const std::string& value) {
    if (!value.empty()) today_is.push_back({option, key, value});
  };
  state("--temperature", "liquid.temperature", options.temperature);
  state("--pressure", "supply.pressure", options.pressure);
  state("--voltage", "supply.voltage", options.voltage);
  const delay::DelayInputs inputs =
      delay_inputs(options.input, options.scenario, options.sets, today_is);
  std::string words;
  const std::optional<scenario::DelayFile> stated = stated_table(options, reference, words);
  const std::filesystem::path out =
      options.out.empty() ? std::filesystem::path("out") / (inputs.scenario.name + "_today")
                          : options.out;
  const OutLock lock(out, options.typed);
  Progress progress(inputs.scenario.name, {}, options.hides_progress());
  const sillion_attachment_table table =
      stated ? stated->table : tune::tune_once(reference.scenario).table;
  delay::TodayOptions search{.stop = &stop,
                             .on_progress = [&](double done_ratio) { progress.at(done_ratio); }};
  if (stated && !stated->speeds.empty())
    search.fastest_judged_mps = stated->speeds.back().speed_mps;
  delay::TodayResult today = delay::find_today(inputs, reference, table, search);
  today.table_words = words;
  seal(today, table);
  delay::write_today(today, out);
  if (options.json) {
    std::fputs(delay::today_json(today).c_str(), stdout);
  } else {
    std::fputs((delay::today_sentence(today, options.units) + "\n" +
                delay::today_lines(today, options.units) +
                "  result: " + (out / "summary.json").string() + "\n")
                   .c_str(),
               stdout);
  }
  return std::isnan(today.fastest_mps) ? kViolated : kHeld;
}

}  // namespace

Command today_command() {
  const auto options = std::make_shared<TodayOptions>();
  return {
      .name = "today",
      .description = "the fastest speed that holds the tolerance today, and what limits it",
      .define = [options](CommandWords& words) { define_today(words, *options); },
      .execute = [options](const std::atomic<bool>& stop) { return execute_today(*options, stop); },
      .common = options.get(),
      .keeps = [options] { return kept_folder_of(options->out); }};
}

}  // namespace sim::command
