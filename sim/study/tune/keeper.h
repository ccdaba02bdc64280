// Where tuned tables and strip trims that were found before can be looked up. Without a keeper,
// which is how tests and `check` run, every strip test is simulated and no disk is touched; a
// command sets one (sim/command/kept_findings.h) while it runs.
//
//   kind    what was found: "delay table", "strip trim"
//   inputs  all that the finding depends on but the program, as text
//   found   the finding as text (sim/study/tune/kept_text.h)
//
// Both functions are called from any thread. What `find` gives must be what `keep` was once given
// for the same kind and inputs, byte for byte, or nothing.
//
// Errors   none: a keeper that cannot find or keep costs time and nothing else
// Checked  tests/sim/command/kept_findings_test.cc
#pragma once

#include <functional>
#include <optional>
#include <string>

namespace sim::tune {

struct Keeper {
  std::function<std::optional<std::string>(const std::string& kind, const std::string& inputs)>
      find;
  std::function<void(const std::string& kind, const std::string& inputs, const std::string& found)>
      keep;
};

/// The keeper of this process while it lives. It is set and taken away while nothing is computed.
class KeeperInUse {
 public:
  explicit KeeperInUse(Keeper keeper);
  ~KeeperInUse();
  KeeperInUse(const KeeperInUse&) = delete;
  KeeperInUse& operator=(const KeeperInUse&) = delete;
};

/// What the keeper has, and false: there is no keeper or it has nothing that can be read.
std::optional<std::string> found_before(const std::string& kind, const std::string& inputs);
void keep_found(const std::string& kind, const std::string& inputs, const std::string& found);
/// Whether there is a keeper: without one there is no need to write down the inputs.
bool has_keeper();

}  // namespace sim::tune
