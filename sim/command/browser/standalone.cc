#include "sim/command/browser/standalone.h"

#include <algorithm>
#include <fstream>
#include <iterator>
#include <nlohmann/json.hpp>

#include "shared/check.h"
#include "sim/command/page_assets.h"
#include "sim/output/base64.h"
#include "sim/study/page/page_keys.h"
#include "sim/text/input_error.h"
#include "sim/text/shell_word.h"

namespace sim::command {
namespace {

std::string asset_text(std::string_view name) {
  for (const output::Asset& asset : page_assets())
    if (asset.name == name) return std::string(asset.bytes);
  ENSURES(false);
  return {};
}

/// Files of script one behind the other: what they import from each other stands beside it then.
std::string one_script(std::initializer_list<std::string_view> names) {
  std::string script;
  for (const std::string_view name : names) {
    std::string text = asset_text(name);
    for (std::size_t from = 0; from < text.size();) {
      const std::size_t to = std::min(text.find('\n', from), text.size());
      std::string_view line = std::string_view(text).substr(from, to - from);
      constexpr std::string_view kExport = "export ";
      if (line.starts_with(kExport)) line.remove_prefix(kExport.size());
      if (!line.starts_with("import ")) script.append(line).append("\n");
      from = to + 1;
    }
  }
  return script;
}

void put(std::string& page, const std::string& mark, const std::string& text) {
  const std::size_t at = page.find(mark);
  ENSURES(at != page.npos);
  page.replace(at, mark.size(), text);
}

/// JSON inside HTML: no tag can begin in it.
std::string without_tags(std::string json) {
  for (std::size_t at = 0; (at = json.find('<', at)) != json.npos;) json.replace(at, 1, "\\u003c");
  return json;
}

std::string given_json(const page::PageBase& base, const page::PageInput& input,
                       const RowContents& contents, const page::RowAnswer& answer) {
  using Json = nlohmann::ordered_json;
  Json given{{"scenario", base.shown},
             {"units", base.units == output::Units::kUs ? "us" : "metric"},
             {"contents", contents_text(contents)},
             {"row", Json::parse(page::row_json(answer, input, base.units))},
             {"keys", Json::array()}};
  const Json keys = Json::parse(page::page_keys_json(
      input.scenario, base.units, std::filesystem::absolute(base.file).parent_path()));
  const auto own = module_keys();
  for (const Json& key : keys["keys"])
    if (key.contains("slider") &&
        std::find(own.begin(), own.end(), key["key"].get<std::string>()) != own.end())
      given["keys"].push_back(key);
  // The three that a planter's driver and its builder move first.
  const auto place = [&](const Json& key) {
    constexpr std::string_view kFirst[] = {"travel.speed", "seeding.spacing",
                                           "attachment.outlet_offset"};
    return std::find(std::begin(kFirst), std::end(kFirst), key["key"].get<std::string>()) -
           std::begin(kFirst);
  };
  std::stable_sort(given["keys"].begin(), given["keys"].end(),
                   [&](const Json& a, const Json& b) { return place(a) < place(b); });
  return without_tags(given.dump());
}

}  // namespace

std::string module_bytes(const std::filesystem::path& program) {
  std::ifstream file(program.parent_path() / kModuleFile, std::ios::binary);
  return {std::istreambuf_iterator<char>(file), {}};
}

RowContents contents_for(const page::PageBase& base, const std::vector<page::Setting>& settings) {
  std::vector<page::Setting> others;
  const auto own = module_keys();
  for (const page::Setting& one : settings)
    if (std::find(own.begin(), own.end(), one.key) == own.end()) others.push_back(one);
  RowContents contents{.scenario = page::page_input(base, others).scenario,
                       .units = base.units,
                       .command = "sillion run " + text::shell_word(base.shown),
                       .known = {}};
  for (const std::string& set : base.sets) contents.command += " --set " + text::shell_word(set);
  for (const page::Setting& one : others)
    contents.command += " --set " + text::shell_word(one.key + "=" + one.value);
  return contents;
}

std::string standalone_page(const page::PageBase& base, const std::filesystem::path& program,
                            const std::atomic<bool>* stop) {
  const std::string module = module_bytes(program);
  if (module.empty())
    throw text::InputError(
        "--standalone: this program was built without the row's module, which lies beside it as " +
        std::string(kModuleFile) +
        " (cmake --build ... --target wasm; DEVELOPERS.md names its tools)");
  const page::PageInput input = page::page_input(base, {});
  RowContents contents = contents_for(base, {});
  contents_text(contents);  // a scenario that cannot be carried is refused before it is computed
  page::RowDesk desk;
  const page::RowAnswer answer = desk.full(input, stop);
  contents.known = desk.kept();
  std::string page = asset_text("demo.html");
  put(page, "/*script*/",
      one_script(
          {"row.js", "draw.js", "furrow.js", "figures.js", "slider.js", "near_row.js", "demo.js"}));
  put(page, "/*worker*/", one_script({"row.js", "row_worker.js"}));
  put(page, "/*module*/", output::base64_of(module));
  put(page, "/*given*/", given_json(base, input, contents, answer));
  put(page, "/*css*/", asset_text("page.css"));
  return page;
}

}  // namespace sim::command
