// `list KIND`: liquids, attachments, faults, metrics, signals, frames, units, schemas, keys, rig,
// crops.
#include <fmt/format.h>

#include <cstdio>
#include <memory>
#include <nlohmann/json.hpp>

#include "sim/command/commands.h"
#include "sim/command/exit_code.h"
#include "sim/command/listing.h"
#include "sim/scenario/loader.h"

namespace sim::command {
namespace {

void define_list(CommandWords& words, CommonOptions& options) {
  add_common_options(words, options, "KIND",
                     "one of: liquids, attachments, faults, metrics, signals, frames, units, "
                     "schemas, keys, rig, crops");
  words.examples({"sillion list attachments", "sillion list metrics --json"});
}

int execute_list(const CommonOptions& options) {
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

}  // namespace

Command list_command() {
  const auto options = std::make_shared<CommonOptions>();
  return {
      .name = "list",
      .description =
          "names that files and commands may use: catalogs, signals, units, keys, limits of crops",
      .define = [options](CommandWords& words) { define_list(words, *options); },
      .execute = [options](const std::atomic<bool>&) { return execute_list(*options); },
      .common = options.get()};
}

}  // namespace sim::command
