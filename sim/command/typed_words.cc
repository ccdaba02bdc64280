#include "sim/command/typed_words.h"

#include "sim/command/outside_world.h"
#include "sim/text/shell_word.h"

namespace sim::command {

std::string as_typed(int argc, char** argv) {
  std::string line = "sillion";
  for (int k = 1; k < argc; ++k) line += " " + text::shell_word(argv[k]);
  return line;
}

void draw_fresh_keys(KeyOptions& keys, std::string& again) {
  // Both were stated: that is refused where the keys are used.
  if (!keys.fresh || !keys.from.empty()) return;
  keys.from = std::to_string(fresh_number());
  keys.fresh = false;
  const std::string flag = "--fresh-keys";
  again.replace(again.find(flag), flag.size(), "--keys " + keys.from);
}

}  // namespace sim::command
