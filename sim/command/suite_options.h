// What `check` and `accept` ask for besides what all commands do.
#pragma once

#include <cstdint>
#include <filesystem>
#include <string>

namespace sim::command {

struct SuiteOptions {
  std::filesystem::path baseline;  // empty: the suite's own
  std::string budget;              // a time, "120s"; empty: none
  bool strict = false;             // what waits for acceptance is exit 6
  bool resume = false;             // keep what a killed check has finished
  bool fresh_keys = false;         // as parsed; drawn at once into `keys`
  std::string keys;                // the number that all keys come from
  std::string only;                // a glob over cases; empty: all (check)
  std::string reason;              // accept
  bool bulk = false;               // accept: more than a tenth may move
  bool release = false;
};

}  // namespace sim::command
