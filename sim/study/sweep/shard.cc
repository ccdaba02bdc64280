#include "sim/study/sweep/shard.h"

#include <oneapi/tbb/parallel_for.h>

#include <charconv>
#include <fstream>
#include <iterator>
#include <nlohmann/json.hpp>
#include <vector>

#include "sim/output/hash.h"
#include "sim/output/json_text.h"
#include "sim/output/number_text.h"
#include "sim/study/run/seal.h"
#include "sim/text/input_error.h"

namespace sim::sweep {
namespace {

using Json = nlohmann::ordered_json;
constexpr const char* kSchema = "sillion.shard.1";
constexpr std::size_t kMostShards = 1'000'000;

[[noreturn]] void refuse(const std::string& words, const std::string& why) {
  throw text::InputError("--shard: \"" + words + "\" " + why +
                         "; write i/S with 1 <= i <= S, such as 2/5 for the second of five shards");
}

std::size_t read_number(const std::string& words, std::size_t from, std::size_t end) {
  std::size_t number = 0;
  const auto read = std::from_chars(words.data() + from, words.data() + end, number);
  if (read.ec != std::errc{} || read.ptr != words.data() + end)
    refuse(words, "is not two whole numbers");
  return number;
}

/// Everything of a study that stands in its results and not in the scenario of a cell.
std::string settings_of(const Study& study) {
  Json axes = Json::array();
  for (const scenario::StudyAxis& axis : study.axes)
    axes.push_back({axis.key, axis.values, axis.draw.words});
  const Json settings = {study.name,
                         study.title,
                         axes,
                         study.replicas,
                         study.rng_key,
                         study.shown,
                         static_cast<int>(study.sampling),
                         study.samples,
                         study.stop.metric,
                         output::number_text(study.stop.half_width_si),
                         study.stop.most};
  return output::json_text(settings);
}

struct GroupText {
  std::string scenarios, controllers, program;
};

GroupText text_of(const Study& study, std::size_t group) {
  GroupText text;
  for (std::size_t batch = 0; batch < most_batches(study); ++batch)
    for (const CellPlan& cell : batch_cells(study, group, batch)) {
      const output::RunHashes hashes = run::input_hashes(cell.scenario);
      text.scenarios += hashes.scenario;
      if (!text.controllers.ends_with(hashes.controller)) text.controllers += hashes.controller;
      text.program = hashes.program;
    }
  return text;
}

}  // namespace

std::string Shard::words() const { return std::to_string(number) + "/" + std::to_string(count); }

Shard read_shard(const std::string& words) {
  const std::size_t slash = words.find('/');
  if (slash == std::string::npos) refuse(words, "has no slash");
  const Shard shard{.number = read_number(words, 0, slash),
                    .count = read_number(words, slash + 1, words.size())};
  if (shard.count < 1 || shard.count > kMostShards || shard.number < 1 ||
      shard.number > shard.count)
    refuse(words, "is out of range");
  return shard;
}

bool deals_combinations(const Study& study) {
  return study.sampling == scenario::Sampling::kGrid || study.stop.most > 0;
}

std::size_t dealt_count(const Study& study) {
  return deals_combinations(study) ? group_count(study) : cell_count(study);
}

std::size_t shard_number(const Study& study, std::size_t shards, const CellPlan& cell) {
  const std::size_t index =
      deals_combinations(study)
          ? cell.group
          : cell.group * static_cast<std::size_t>(study.samples) + cell.sample;
  return index % shards + 1;
}

std::size_t dealt_to(const Study& study, const Shard& shard) {
  return (dealt_count(study) + shard.count - shard.number) / shard.count;
}

StudyHashes hashes_of_study(const Study& study) {
  std::vector<GroupText> groups(group_count(study));
  oneapi::tbb::parallel_for(std::size_t{0}, groups.size(),
                            [&](std::size_t group) { groups[group] = text_of(study, group); });
  GroupText all{.scenarios = settings_of(study), .controllers = {}, .program = {}};
  for (const GroupText& group : groups) {
    all.scenarios += group.scenarios;
    if (!all.controllers.ends_with(group.controllers)) all.controllers += group.controllers;
    all.program = group.program;
  }
  return {.study = output::short_hash_hex(all.scenarios),
          .controller = output::short_hash_hex(all.controllers),
          .program = output::short_hash_hex(all.program)};
}

std::string differing_hash(const StudyHashes& one, const StudyHashes& other) {
  if (one.program != other.program) return "program";
  if (one.controller != other.controller) return "controller";
  return one.study != other.study ? "study" : "";
}

std::string shard_json(const ShardNote& note) {
  const Json fields = {{"schema", kSchema},
                       {"name", note.name},
                       {"shard", note.shard.number},
                       {"shards", note.shard.count},
                       {"hashes",
                        {{"study", note.hashes.study},
                         {"controller", note.hashes.controller},
                         {"program", note.hashes.program}}}};
  return output::json_text(fields);
}

std::filesystem::path shard_file(const std::filesystem::path& folder) {
  return folder / "shard.json";
}

std::optional<ShardNote> read_shard_note(const std::filesystem::path& folder) {
  std::ifstream in(shard_file(folder), std::ios::binary);
  if (!in) return {};
  const std::string text{std::istreambuf_iterator<char>(in), {}};
  try {
    const Json fields = Json::parse(text);
    if (fields.at("schema") != kSchema) return {};
    ShardNote note{.name = fields.at("name").get<std::string>(),
                   .shard = {.number = fields.at("shard").get<std::size_t>(),
                             .count = fields.at("shards").get<std::size_t>()},
                   .hashes = {.study = fields.at("hashes").at("study").get<std::string>(),
                              .controller = fields.at("hashes").at("controller").get<std::string>(),
                              .program = fields.at("hashes").at("program").get<std::string>()}};
    if (note.shard.number < 1 || note.shard.number > note.shard.count) return {};
    return note;
  } catch (const Json::exception&) {
    return {};
  }
}

}  // namespace sim::sweep
