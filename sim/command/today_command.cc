// `today`: how fast an attachment may go at today's temperature, pressure and voltage.
#include <fmt/format.h>

#include <cmath>
#include <cstdio>
#include <optional>

#include "sim/command/attachment_input.h"
#include "sim/command/exit_code.h"
#include "sim/command/options.h"
#include "sim/command/out_lock.h"
#include "sim/command/progress.h"
#include "sim/scenario/catalog.h"
#include "sim/scenario/delay_file.h"
#include "sim/study/delay/today_tables.h"
#include "sim/study/tune/tune_once.h"

namespace sim::command {
namespace {

/// --table, the table beside an attachment's own file, or the one in the catalog; none otherwise.
std::optional<scenario::DelayFile> stated_table(const CommandOptions& options,
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

}  // namespace

int today_command(const CommandOptions& options, const std::atomic<bool>& stop) {
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
  Progress progress(inputs.scenario.name, {}, options.quiet || options.json);
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

}  // namespace sim::command
