#include "sim/command/typed_words.h"

#include <filesystem>

#include "sim/command/outside_world.h"
#include "sim/text/shell_word.h"

namespace sim::command {
namespace {

/// Keys are drawn once: whoever goes on with a killed check goes on with the same ones.
void tell_fresh_keys(CommandOptions& options) {
  if (!options.suite.keys.empty()) return;  // both were stated: told where the keys are used
  options.suite.keys = std::to_string(fresh_number());
  options.suite.fresh_keys = false;
  const std::string flag = "--fresh-keys";
  options.again.replace(options.again.find(flag), flag.size(), "--keys " + options.suite.keys);
}

}  // namespace

std::string as_typed(int argc, char** argv) {
  std::string line = "sillion";
  for (int k = 1; k < argc; ++k) line += " " + text::shell_word(argv[k]);
  return line;
}

void complete_words(CommandOptions& options) {
  if (options.suite.fresh_keys) tell_fresh_keys(options);
  if ((options.command == "check" || options.command == "sweep") && !options.suite.resume)
    options.again += " --resume";
  // A path on the command line is seen from where one stands; one in a --set from the scenario.
  if (!options.controller.empty())
    options.sets.push_back("controller.library=" +
                           std::filesystem::absolute(options.controller).string());
}

}  // namespace sim::command
