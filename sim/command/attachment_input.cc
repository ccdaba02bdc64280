#include "sim/command/attachment_input.h"

#include "sim/scenario/layers.h"
#include "sim/scenario/overlay.h"
#include "sim/scenario/own_attachment.h"
#include "sim/text/document.h"
#include "sim/text/quantity.h"

namespace sim::command {
namespace {

const text::Place kCommandLine{"ATTACHMENT", 0, {}};

bool is_file(const std::string& attachment) {
  std::error_code ignored;
  return std::filesystem::path(attachment).extension() == ".toml" ||
         std::filesystem::is_regular_file(attachment, ignored);
}

text::Node named_document(const std::string& name, const std::filesystem::path& scenario_file) {
  text::Node document;
  document.place = kCommandLine;
  if (!scenario_file.empty()) document = scenario::read_layers(scenario_file);
  scenario::set_dotted(document, "attachment.name", text::text_node(name, kCommandLine));
  return document;
}

text::Node filed_document(const std::filesystem::path& file,
                          const std::filesystem::path& scenario_file) {
  text::Node of_file = scenario::read_layers(file);
  const text::Node* attachment = of_file.find("attachment");
  const bool bare = attachment == nullptr && of_file.find("outlet") != nullptr;
  if (bare && scenario_file.empty()) {
    text::Node document;
    document.place = of_file.place;
    document.put("attachment", of_file);
    return document;
  }
  if (bare) attachment = &of_file;  // a file of the catalog: its keys stand at the top
  if (attachment == nullptr)
    text::fail({file.string(), 0, {}}, "attachment",
               "is missing in this file; the name of one in the catalog is enough");
  if (scenario_file.empty()) return of_file;
  text::Node document = scenario::read_layers(scenario_file);
  document.put("attachment", *attachment);
  return document;
}

std::string folder_words(const std::string& name) {
  std::string words;
  for (const char c : name) words += c == ' ' || c == '/' ? '_' : c;
  return words;
}

}  // namespace

scenario::Scenario attachment_input(const std::string& attachment,
                                    const std::filesystem::path& scenario_file,
                                    const std::vector<std::string>& sets,
                                    const std::vector<OwnOption>& options) {
  if (attachment.empty())
    text::fail(kCommandLine, "attachment.name",
               "is empty; `sillion list attachments` prints the names");
  text::Node document = is_file(attachment) ? filed_document(attachment, scenario_file)
                                            : named_document(attachment, scenario_file);
  for (const std::string& set : sets) scenario::lay_set_over(document, set);
  for (const OwnOption& one : options)
    scenario::set_dotted(document, one.key, text::text_node(one.value, {one.option, 0, {}}));
  std::filesystem::path stated_in = scenario_file;
  if (stated_in.empty()) stated_in = is_file(attachment) ? attachment : "command line";
  const bool own = is_file(attachment) &&
                   scenario::take_own_attachment(document, stated_in.parent_path(),
                                                 std::filesystem::path(attachment).stem().string());
  scenario::Scenario scenario = scenario::scenario_of(
      document, stated_in, own ? scenario::PartFrom::kDocument : scenario::PartFrom::kCatalog);
  scenario.name = folder_words(scenario.attachment.name);
  return scenario;
}

delay::DelayInputs delay_inputs(const std::string& attachment,
                                const std::filesystem::path& scenario_file,
                                const std::vector<std::string>& sets,
                                const std::vector<OwnOption>& options) {
  delay::DelayInputs inputs;
  inputs.scenario = attachment_input(attachment, scenario_file, sets, options);
  // Read again at each new temperature: values that a person stated lie over the catalog's as ever.
  const double stated_k = inputs.scenario.liquid.temperature_k;
  const model::Liquid stated = inputs.scenario.liquid.liquid;
  inputs.liquid_at = [=](double temperature_k) {
    if (temperature_k == stated_k) return stated;
    std::vector<OwnOption> warmer = options;
    warmer.push_back({"--set liquid.temperature", "liquid.temperature",
                      text::shortest_text(temperature_k) + " K"});
    return attachment_input(attachment, scenario_file, sets, warmer).liquid.liquid;
  };
  return inputs;
}

}  // namespace sim::command
