// `list KIND`: liquids, attachments, faults, metrics, signals, frames, units, schemas, keys, rig,
// crops.
#include <fmt/format.h>

#include <cstdio>
#include <nlohmann/json.hpp>

#include "sim/command/exit_code.h"
#include "sim/command/listing.h"
#include "sim/command/options.h"
#include "sim/scenario/loader.h"

namespace sim::command {

int list_command(const CommandOptions& options) {
  const Listing listing = list_of(options.input);
  if (options.json) {
    nlohmann::ordered_json json;
    json["schema"] = "sillion list 1";
    json["kind"] = options.input;
    json["entries"] = nlohmann::ordered_json::array();
    for (const ListEntry& entry : listing.entries)
      json["entries"].push_back(
          {{"name", entry.name}, {"unit", entry.unit}, {"meaning", entry.meaning}});
    std::fputs((json.dump(2) + "\n").c_str(), stdout);
    return kHeld;
  }
  for (const ListEntry& entry : listing.entries)
    std::fputs(fmt::format("{:<44} {:<10} {}\n", entry.name, entry.unit, entry.meaning).c_str(),
               stdout);
  return kHeld;
}

}  // namespace sim::command
