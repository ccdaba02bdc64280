#include "sim/command/suite_options.h"

namespace sim::command {

void add_suite_options(CommandWords& words, SuiteOptions& options) {
  add_common_options(words, options, "SUITE", "suite file (TOML)");
  add_controller_options(words, options);
  words.path("--out", options.out, "folder for the results (default out/NAME)");
  words.path("--baseline", options.baseline,
             "file of the accepted results (else the suite's `baseline`)");
}

}  // namespace sim::command
