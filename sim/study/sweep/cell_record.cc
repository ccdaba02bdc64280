#include "sim/study/sweep/cell_record.h"

#include <cstring>
#include <nlohmann/json.hpp>
#include <type_traits>

#include "sim/output/hash.h"
#include "sim/output/json_text.h"
#include "sim/output/number_text.h"
#include "sim/study/run/kept_fields.h"
#include "sim/study/run/seal.h"

namespace sim::sweep {
namespace {

using Json = nlohmann::ordered_json;
constexpr const char* kSchema = "sillion.cell.1";
constexpr const char* kDigits = "0123456789abcdef";

/// Thrown for a damaged text, which counts as no finished cell.
struct Damaged {};

/// The bytes between the figures of a structure say nothing; they are zero, so that the same cell
/// has the same text. A compiler that cannot clear them leaves what happens to be there.
template <class Plain>
std::string bytes_of(Plain value) {
  static_assert(std::is_trivially_copyable_v<Plain>);
#if __has_builtin(__builtin_clear_padding)
  __builtin_clear_padding(&value);
#endif
  unsigned char bytes[sizeof value];
  std::memcpy(bytes, &value, sizeof value);
  std::string text;
  text.reserve(2 * sizeof value);
  for (const unsigned char byte : bytes) {
    text += kDigits[byte >> 4];
    text += kDigits[byte & 15u];
  }
  return text;
}

unsigned digit_of(char c) {
  const char* at = c == '\0' ? nullptr : std::strchr(kDigits, c);
  if (at == nullptr) throw Damaged{};
  return static_cast<unsigned>(at - kDigits);
}

template <class Plain>
Plain from_bytes(const Json& field) {
  static_assert(std::is_trivially_copyable_v<Plain>);
  const std::string text = field.get<std::string>();
  if (text.size() != 2 * sizeof(Plain)) throw Damaged{};
  unsigned char bytes[sizeof(Plain)];
  for (std::size_t k = 0; k < sizeof(Plain); ++k)
    bytes[k] = static_cast<unsigned char>(digit_of(text[2 * k]) << 4 | digit_of(text[2 * k + 1]));
  Plain value;
  std::memcpy(&value, bytes, sizeof value);
  return value;
}

Json summary_json_of(const measure::Summary& summary) {
  Json rows = Json::array();
  for (const measure::Figures& row : summary.rows) rows.push_back(bytes_of(row));
  Json requirements = Json::array();
  for (const measure::RequirementResult& one : summary.requirements)
    requirements.push_back(run::requirement_json(one));
  return {{"all", bytes_of(summary.all)},
          {"rows", rows},
          {"spacing", bytes_of(summary.spacing)},
          {"jet", bytes_of(summary.jet)},
          {"health", bytes_of(summary.health)},
          {"break_even", bytes_of(summary.break_even_scatter_m)},
          {"simulated", bytes_of(summary.simulated_s)},
          {"verdict", static_cast<int>(summary.verdict)},
          {"requirements", requirements}};
}

measure::Summary summary_from(const Json& fields) {
  measure::Summary summary;
  summary.all = from_bytes<measure::Figures>(fields.at("all"));
  for (const Json& row : fields.at("rows"))
    summary.rows.push_back(from_bytes<measure::Figures>(row));
  summary.spacing = from_bytes<measure::SpacingQuality>(fields.at("spacing"));
  summary.jet = from_bytes<measure::JetFigures>(fields.at("jet"));
  summary.health = from_bytes<sillion_health>(fields.at("health"));
  summary.break_even_scatter_m = from_bytes<double>(fields.at("break_even"));
  summary.simulated_s = from_bytes<double>(fields.at("simulated"));
  summary.verdict = static_cast<measure::Verdict>(fields.at("verdict").get<int>());
  for (const Json& one : fields.at("requirements"))
    summary.requirements.push_back(run::requirement_from(one));
  return summary;
}

template <class Plain>
Json list_of(const std::vector<Plain>& plain) {
  Json list = Json::array();
  for (const Plain& one : plain) list.push_back(bytes_of(one));
  return list;
}

Json content_of(const FinishedCell& done) {
  return {{"tuned", bytes_of(done.cell.tuned)},
          {"servable", done.cell.servable},
          {"fault", static_cast<int>(done.cell.fault)},
          {"fault_words", done.cell.fault_words},
          {"break_even", bytes_of(done.cell.break_even_scatter_m)},
          {"summary", summary_json_of(done.cell.summary)},
          {"intervals", list_of(done.cell.intervals)},
          {"seen", list_of(done.seen)}};
}

FinishedCell finished_from(const Json& content) {
  FinishedCell done;
  done.cell.tuned = from_bytes<tune::TunedTable>(content.at("tuned"));
  done.cell.servable = content.at("servable").get<bool>();
  done.cell.fault = static_cast<CellFault>(content.at("fault").get<int>());
  done.cell.fault_words = content.at("fault_words").get<std::string>();
  done.cell.break_even_scatter_m = from_bytes<double>(content.at("break_even"));
  done.cell.summary = summary_from(content.at("summary"));
  for (const Json& one : content.at("intervals"))
    done.cell.intervals.push_back(from_bytes<statistics::Interval>(one));
  for (const Json& one : content.at("seen")) done.seen.push_back(from_bytes<Observation>(one));
  return done;
}

/// Bytes in memory are read back without a check of each figure, so the whole content is sealed.
std::string seal_of(const std::string& inputs, const Json& content) {
  return output::short_hash_hex(inputs + output::json_text(content));
}

}  // namespace

std::string cell_inputs(const Study& study, const CellPlan& plan) {
  std::string text = run::inputs_hash(plan.scenario);
  for (const long long number :
       {static_cast<long long>(study.sampling), static_cast<long long>(study.rng_key),
        static_cast<long long>(plan.sample), static_cast<long long>(study.replicas),
        static_cast<long long>(study.samples), static_cast<long long>(study.stop.most)})
    text += " " + std::to_string(number);
  return output::short_hash_hex(text + " " + study.stop.metric + " " +
                                output::number_text(study.stop.half_width_si));
}

std::string cell_json(const std::string& inputs, const CellPlan& plan, const FinishedCell& done) {
  const Json content = content_of(done);
  const Json fields = {{"schema", kSchema},
                       {"values", plan.values},
                       {"inputs", inputs},
                       {"seal", seal_of(inputs, content)},
                       {"cell", content}};
  return output::json_text(fields);
}

std::optional<FinishedCell> cell_from(const std::string& text, const std::string& inputs) {
  try {
    const Json fields = Json::parse(text);
    if (fields.at("schema") != kSchema || fields.at("inputs") != inputs ||
        fields.at("seal") != seal_of(inputs, fields.at("cell")))
      return {};
    return finished_from(fields.at("cell"));
  } catch (const Json::exception&) {
    return {};
  } catch (const Damaged&) {
    return {};
  }
}

std::vector<std::string> cell_values_of(const std::string& text) {
  try {
    return Json::parse(text).at("values").get<std::vector<std::string>>();
  } catch (const Json::exception&) {
    return {};
  }
}

}  // namespace sim::sweep
