#include "sim/command/shard_words.h"

#include "sim/text/shell_word.h"

namespace sim::command {
namespace {

namespace fs = std::filesystem;

/// Of more shards than this the merge names their folders by a pattern.
constexpr std::size_t kMostNamed = 8;

std::string common_line(const SweepOptions& options) {
  std::string line = "sillion sweep " + text::shell_word(options.input);
  for (const std::string& set : options.sets) line += " --set " + text::shell_word(set);
  if (!options.controller.empty()) line += " --controller " + text::shell_word(options.controller);
  if (options.trust) line += " --trust";
  if (options.apart) line += " --apart";
  if (options.units == output::Units::kUs) line += " --units us";
  return line;
}

std::string out_words(const fs::path& folder) {
  return " --out " + text::shell_word(folder.string());
}

}  // namespace

fs::path shard_folder(const std::string& study, const sweep::Shard& shard) {
  return fs::path("out") / (study + "-shards-of-" + std::to_string(shard.count)) /
         std::to_string(shard.number);
}

std::optional<fs::path> folder_beside(const fs::path& folder, std::size_t number,
                                      std::size_t other) {
  const fs::path bare = folder.has_filename() ? folder : folder.parent_path();
  const std::string name = bare.filename().string(), ending = std::to_string(number);
  if (!name.ends_with(ending)) return {};
  const std::string stem = name.substr(0, name.size() - ending.size());
  // The 1 of shard 1 is not the end of 11.
  if (!stem.empty() && stem.back() >= '0' && stem.back() <= '9') return {};
  return bare.parent_path() / (stem + std::to_string(other));
}

std::string shard_line(const SweepOptions& options, const sweep::Shard& shard,
                       const fs::path& folder) {
  return common_line(options) + " --shard " + shard.words() + out_words(folder);
}

std::string merge_line(const SweepOptions& options, const std::string& study,
                       const sweep::Shard& shard, const fs::path& folder) {
  std::string line = common_line(options) + " --merge";
  const bool known = folder_beside(folder, shard.number, 1).has_value();
  if (known && shard.count <= kMostNamed) {
    for (std::size_t number = 1; number <= shard.count; ++number)
      line += " " + text::shell_word(folder_beside(folder, shard.number, number)->string());
  } else if (known) {
    const std::string first = folder_beside(folder, shard.number, 1)->string();
    const std::string stem = first.substr(0, first.size() - 1);
    line += " " + (stem.empty() ? "" : text::shell_word(stem)) + "*";
  } else {
    line += " " + text::shell_word(folder.string()) +
            (shard.count > 1 ? " FOLDERS_OF_THE_OTHER_SHARDS" : "");
  }
  return line + out_words(fs::path("out") / study);
}

}  // namespace sim::command
