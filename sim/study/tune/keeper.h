// Lookup of tuned tables and strip trims that were found before. Without a keeper, as in tests and
// in `check`, every strip test is simulated and no disk is used; a command sets a keeper
// (sim/command/kept_findings.h) while it runs.
//
//   kind    what was found: "delay table", "strip trim"
//   inputs  everything but the program on which the finding depends, as text
//   found   the finding as text (sim/study/tune/kept_text.h)
//
// Both functions are called from any thread. `find` must return, byte for byte, what `keep` was
// once given for the same kind and inputs, or nothing.
//
// Errors   none: a keeper that cannot find or keep something only costs time
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

/// Makes a keeper the process's keeper while this object lives. It is made and destroyed while
/// nothing is computed.
class KeeperInUse {
 public:
  explicit KeeperInUse(Keeper keeper);
  ~KeeperInUse();
  KeeperInUse(const KeeperInUse&) = delete;
  KeeperInUse& operator=(const KeeperInUse&) = delete;
};

/// The keeper's text; nothing if there is no keeper or it has no such finding.
std::optional<std::string> found_before(const std::string& kind, const std::string& inputs);
void keep_found(const std::string& kind, const std::string& inputs, const std::string& found);

}  // namespace sim::tune
