// `search`: looks in stated ranges for the case with the smallest margin, and shrinks it.
#include <fmt/format.h>

#include <algorithm>
#include <cstdio>
#include <memory>

#include "sim/command/commands.h"
#include "sim/command/exit_code.h"
#include "sim/command/judged_first.h"
#include "sim/command/kept_findings.h"
#include "sim/command/machine_pace.h"
#include "sim/command/out_lock.h"
#include "sim/command/progress.h"
#include "sim/command/shown_path.h"
#include "sim/command/words_table.h"
#include "sim/study/search/search_report.h"
#include "sim/text/shell_word.h"

namespace sim::command {
namespace {

struct SearchCommandOptions : CommonOptions, ScenarioOptions, ControllerOptions {
  bool dry_run = false;
  bool until_found = false;
  int passes = 0;  // 0: as the scenario states
};

void define_search(CommandWords& words, SearchCommandOptions& options) {
  add_common_options(words, options, "SCENARIO", "scenario file (TOML) with a section [search]");
  add_scenario_options(words, options);
  add_controller_options(words, options);
  add_dry_run_option(words, options.dry_run);
  words.number("--passes", options.passes, NumberRange{1, 1'000'000},
               "passes of each method, in place of search.passes");
  words.flag("--until-found", options.until_found,
             "each method ends with its first pass that fails");
  words.examples({"sillion search scenarios/demo_search.toml",
                  "sillion search scenarios/demo_search.toml --controller "
                  "build/release/libsillion_reference.so "
                  "--passes 200 --out out/example_search"});
}

void say(const std::string& line) { std::fputs((line + "\n").c_str(), stdout); }

ExitCode code_of_state(search::PassState state) {
  switch (state) {
    case search::PassState::kBenchFault: return kBenchFailed;
    case search::PassState::kControllerFault: return kControllerFailed;
    case search::PassState::kViolated: return kViolated;
    default: return kHeld;
  }
}

/// The worst of all passes, in the order 3, 4, 1, 5, 0.
ExitCode code_of_search(const search::SearchResult& result) {
  std::vector<ExitCode> codes = {code_of_state(result.base.state)};
  bool judged = result.base.fails();
  for (const search::Method* method : {&result.optimiser, &result.random}) {
    judged = judged || method->best() >= 0;
    for (const search::SearchPass& pass : method->passes)
      codes.push_back(code_of_state(pass.judged.state));
  }
  for (const ExitCode code : {kBenchFailed, kControllerFailed, kViolated})
    if (std::find(codes.begin(), codes.end(), code) != codes.end()) return code;
  return judged ? kHeld : kNothingToJudge;
}

void print_size(const search::Search& search, const std::filesystem::path& out) {
  const scenario::Scenario bases[] = {search.base};
  const double pass_s = tuned_pass_s(search.base, measured_pace(bases));
  const double all_s = 2.0 * search.passes * pass_s;
  say(
      fmt::format("{} passes by the optimiser and {} at random, over {} ranges and {} faults: {}; "
                  "results: {}",
                  search.passes, search.passes, search.ranges.size(), search.faults.size(),
                  time_words(all_s, all_s / cores_in_use()), out.string()));
}

void refuse_same_file(const std::filesystem::path& read, const std::filesystem::path& found) {
  std::error_code none_there;
  if (!read.empty() && std::filesystem::equivalent(read, found, none_there))
    throw text::InputError(found.string() +
                           ": the search reads this file, and would write the case that it finds "
                           "over it: state another folder with --out");
}

/// The case that is found must not take the place of a file from which a value of the searched
/// scenario comes: its base would then be itself.
void refuse_own_place(const text::Node& node, const std::filesystem::path& found) {
  refuse_same_file(node.place.file, found);
  for (const text::Entry& entry : node.entries) refuse_own_place(entry.node, found);
  for (const text::Node& item : node.items) refuse_own_place(item, found);
}

int execute_search(const SearchCommandOptions& options, const std::atomic<bool>& stop) {
  search::Search search = search::load_search(options.input, options.sets, options.controller);
  if (options.passes > 0) search.passes = options.passes;
  require_controller(search.base);
  const std::filesystem::path out =
      options.out.empty() ? std::filesystem::path("out") / search.name : options.out;
  if (options.dry_run) {
    print_size(search, out);
    return kHeld;
  }
  refuse_same_file(search.file, out / "found.toml");
  refuse_own_place(search.document, out / "found.toml");
  const OutLock lock(out, options.typed);
  constexpr std::string_view kResults[] = {"summary.json", "passes.csv", "report.html",
                                           "found.toml", search::kTableFile};
  require_free(out, kResults);
  const search::SearchResult result = [&] {
    Progress progress(search.name, {}, options.hides_progress());
    return search::run_search(search, {.until_found = options.until_found,
                                       .stop = &stop,
                                       .on_progress = [&](double done) { progress.at(done); }});
  }();
  search::write_search(result, out);
  if (options.json) {
    std::fputs(search::search_json(result).c_str(), stdout);
    return code_of_search(result);
  }
  say(search::search_sentence(result));
  if (!result.optimiser.passes.empty()) print_words_table(search::methods_table(result));
  for (const std::string& line : search::search_findings(result)) say("  " + line);
  if (result.shrunk) {
    std::string again = "sillion run " + text::shell_word((out / "found.toml").string());
    if (!options.controller.empty())
      again += " --controller " + text::shell_word(shown_path(options.controller));
    say("see it: " + again);
  }
  say("report: " + (out / "report.html").string());
  return code_of_search(result);
}

}  // namespace

Command search_command() {
  const auto options = std::make_shared<SearchCommandOptions>();
  return {.name = "search",
          .description =
              "looks in stated ranges for the smallest margin, and shrinks a case that "
              "fails to the smallest change",
          .define = [options](CommandWords& words) { define_search(words, *options); },
          .execute =
              [options](const std::atomic<bool>& stop) { return execute_search(*options, stop); },
          .common = options.get(),
          .controller = options.get(),
          .keeps = [options] { return kept_folder_of(options->out, options->dry_run); },
          .many_passes = true};
}

}  // namespace sim::command
