#include "sim/study/check/case_file.h"

#include <fstream>
#include <iterator>
#include <nlohmann/json.hpp>

#include "sim/output/hash.h"
#include "sim/output/json_text.h"
#include "sim/study/run/kept_fields.h"
#include "sim/study/run/summary_fields.h"

namespace sim::check {
namespace {

using Json = nlohmann::ordered_json;
constexpr const char* kCaseSchema = "sillion.case.2";

CaseResult result_from(const Json& fields) {
  CaseResult result;
  result.id = fields.at("case").get<std::string>();
  result.inputs = fields.at("inputs").get<std::string>();
  result.state = static_cast<CaseState>(fields.at("state").get<int>());
  result.fault = fields.at("fault").get<std::string>();
  result.fault_at = run::witness_from(fields.at("fault_at"));
  result.verdict = static_cast<measure::Verdict>(fields.at("verdict").get<int>());
  result.seeds_placed = fields.at("seeds_placed").get<long long>();
  result.simulated_s = run::kept_number(fields.at("simulated_s"));
  for (const Json& one : fields.at("requirements"))
    result.requirements.push_back(run::requirement_from(one));
  for (const Json& one : fields.at("figures")) result.figures_si.push_back(run::kept_number(one));
  result.spent_s = run::kept_number(fields.at("spent_s"));
  const Json& hashes = fields.at("hashes");
  result.hashes = {.scenario = hashes.at("scenario").get<std::string>(),
                   .parameters = hashes.at("parameters").get<std::string>(),
                   .controller = hashes.at("controller").get<std::string>(),
                   .program = hashes.at("program").get<std::string>(),
                   .result = hashes.at("result").get<std::string>()};
  return result;
}

}  // namespace

std::string case_json(const CaseResult& result) {
  Json requirements = Json::array();
  for (const measure::RequirementResult& one : result.requirements)
    requirements.push_back(run::requirement_json(one));
  Json figures = Json::array();
  for (const double value_si : result.figures_si)
    figures.push_back(output::number_or_null(value_si));
  const Json fields = {{"schema", kCaseSchema},
                       {"case", result.id},
                       {"inputs", result.inputs},
                       {"state", static_cast<int>(result.state)},
                       {"fault", result.fault},
                       {"fault_at", run::witness_json(result.fault_at)},
                       {"verdict", static_cast<int>(result.verdict)},
                       {"seeds_placed", result.seeds_placed},
                       {"simulated_s", output::number_or_null(result.simulated_s)},
                       {"requirements", requirements},
                       {"figures", figures},
                       {"spent_s", output::number_or_null(result.spent_s)},
                       {"hashes", run::hash_fields(result.hashes)}};
  return output::json_text(fields);
}

std::optional<CaseResult> read_case(const std::filesystem::path& file, const std::string& id,
                                    const std::string& inputs) {
  std::ifstream in(file, std::ios::binary);
  if (!in) return {};
  const std::string text{std::istreambuf_iterator<char>(in), {}};
  try {
    const Json fields = Json::parse(text);
    if (fields.at("schema") != kCaseSchema || fields.at("case") != id ||
        fields.at("inputs") != inputs)
      return {};
    return result_from(fields);
  } catch (const Json::exception&) {
    return {};
  }
}

std::filesystem::path case_file(const std::filesystem::path& out, const std::string& id) {
  return out / "runs" / (output::short_hash_hex(id) + ".json");
}

}  // namespace sim::check
