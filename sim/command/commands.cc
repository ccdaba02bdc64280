#include "sim/command/commands.h"

#include <spdlog/spdlog.h>

#include <algorithm>

#include "sim/command/typed_words.h"
#include "sim/output/cautions.h"
#include "sim/text/nearest.h"

namespace sim::command {
namespace {

/// The first word, where it is neither an option nor a command.
std::optional<std::string> unknown_command(int argc, char** argv,
                                           const std::vector<std::string>& names) {
  if (argc < 2 || argv[1][0] == '-') return {};
  if (std::find(names.begin(), names.end(), argv[1]) != names.end()) return {};
  return argv[1];
}

void tell_unknown(const std::string& word, const std::vector<std::string>& names) {
  const std::string nearest = text::nearest_name(word, names);
  spdlog::error(
      "unknown command `{}`{}", word,
      nearest.empty() ? "; --help names them all" : "; nearest valid name: `" + nearest + "`");
}

}  // namespace

std::vector<Command> all_commands() {
  return {run_command(),      budget_command(), check_command(),   accept_command(),
          faults_command(),   search_command(), compare_command(), rate_command(),
          sweep_command(),    rig_command(),    delay_command(),   today_command(),
          outlet_command(),   valve_command(),  explain_command(), score_command(),
          stimulus_command(), page_command(),   map_command(),     unit_command(),
          list_command()};
}

AskedFor read_command_line(int argc, char** argv) {
  std::vector<Command> commands = all_commands();
  ProgramWords program("sillion",
                       "sillion: physical model of a planter row's starter bands, with the "
                       "controller under test in the loop.\n" +
                           std::string(output::words_of(output::Caution::kDesignAid)),
                       {"sillion run scenarios/demo.toml", "sillion list attachments"});
  std::vector<std::string> names;
  for (Command& command : commands) {
    command.common->again = command.common->typed = as_typed(argc, argv);
    CommandWords words = program.add_command(command.name, command.description);
    command.define(words);
    names.push_back(command.name);
  }
  if (const std::optional<std::string> word = unknown_command(argc, argv, names)) {
    tell_unknown(*word, names);
    return {.code = kBadInput};
  }
  const Reading reading = program.read(argc, argv);
  if (reading.command.empty()) return {.code = reading.mistaken ? kBadInput : kHeld};
  const auto asked = std::find(names.begin(), names.end(), reading.command) - names.begin();
  Command& command = commands[static_cast<std::size_t>(asked)];
  if (command.complete) command.complete();
  return {.command = std::move(command)};
}

}  // namespace sim::command
