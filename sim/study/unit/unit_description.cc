#include "sim/study/unit/unit_description.h"

#include <fmt/format.h>

#include "sim/output/cautions.h"
#include "sim/output/html.h"
#include "sim/study/unit/fmi3_instance.h"
#include "sim/study/unit/unit_variables.h"
#include "sim/text/quantity.h"

namespace sim::unit {
namespace {

std::string in_quotes(std::string_view text) {
  std::string safe;
  for (const char c : text) switch (c) {
      case '&': safe += "&amp;"; break;
      case '<': safe += "&lt;"; break;
      case '>': safe += "&gt;"; break;
      case '"': safe += "&quot;"; break;
      default: safe += static_cast<unsigned char>(c) < ' ' ? ' ' : c;
    }
  return "\"" + safe + "\"";
}

std::string what_it_is(const UnitContents& contents) {
  return fmt::format("{} of scenario {}{}",
                     contents.drawn ? fmt::format("row {}", contents.row) : "the nominal row",
                     contents.scenario.name,
                     contents.with_controller ? ", with its controller" : "");
}

std::string step_text(const UnitLabel& label) {
  return text::shortest_text(static_cast<double>(label.step_ns) / 1e9);
}

std::string unit_element(const UnitOfMeasure& unit) {
  std::string powers;
  const auto power = [&](const char* base, int exponent) {
    if (exponent != 0) powers += fmt::format(" {}=\"{}\"", base, exponent);
  };
  power("kg", unit.kg);
  power("m", unit.m);
  power("s", unit.s);
  power("A", unit.a);
  return fmt::format("    <Unit name={}>\n      <BaseUnit{}/>\n    </Unit>\n", in_quotes(unit.name),
                     powers);
}

const char* causality_word(Causality causality) {
  switch (causality) {
    case Causality::kIndependent: return "independent";
    case Causality::kInput: return "input";
    case Causality::kParameter: return "parameter";
    case Causality::kOutput: return "output";
  }
  return "local";
}

std::string start_of(const UnitVariable& one, const UnitInputs& inputs) {
  if (one.real_in != nullptr)
    return fmt::format(" start=\"{}\"", text::shortest_text(inputs.*one.real_in));
  if (one.flag_in != nullptr)
    return fmt::format(" start=\"{}\"", inputs.*one.flag_in ? "true" : "false");
  return {};
}

std::string variable_element(const UnitVariable& one, const UnitInputs& inputs) {
  const char* type = one.is_real() ? "Float64" : one.is_flag() ? "Boolean" : "Int32";
  const char* variability = one.causality == Causality::kParameter ? "fixed"
                            : one.is_real()                        ? "continuous"
                                                                   : "discrete";
  std::string element =
      fmt::format("    <{} name={} valueReference=\"{}\" causality=\"{}\" variability=\"{}\"", type,
                  in_quotes(one.name), one.reference, causality_word(one.causality), variability);
  if (one.causality == Causality::kOutput) element += " initial=\"calculated\"";
  if (!one.unit.empty()) element += " unit=" + in_quotes(one.unit);
  element += start_of(one, inputs);
  return element + " description=" + in_quotes(one.description) + "/>\n";
}

}  // namespace

std::string model_description(const UnitContents& contents, const UnitLabel& label) {
  std::string text = fmt::format(
      "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n"
      "<fmiModelDescription fmiVersion=\"3.0\" modelName={} instantiationToken={} description={} "
      "generationTool=\"sillion\" variableNamingConvention=\"flat\">\n"
      "  <CoSimulation modelIdentifier={} canHandleVariableCommunicationStepSize=\"true\" "
      "fixedInternalStepSize=\"{}\"/>\n  <UnitDefinitions>\n",
      in_quotes(contents.scenario.name), in_quotes(label.token), in_quotes(what_it_is(contents)),
      in_quotes(kModelIdentifier), step_text(label));
  for (const UnitOfMeasure& unit : units_of_variables()) text += unit_element(unit);
  text += fmt::format(
      "  </UnitDefinitions>\n  <LogCategories>\n    <Category name={} description=\"calls that "
      "failed\"/>\n  </LogCategories>\n  <DefaultExperiment startTime=\"0\" stepSize=\"{}\"/>\n"
      "  <ModelVariables>\n",
      in_quotes(kLogCategory), step_text(label));
  const UnitInputs inputs = start_inputs(contents);
  std::string outputs, unknowns;
  for (const UnitVariable& one : unit_variables()) {
    if (!one.is_in(contents.with_controller)) continue;
    text += variable_element(one, inputs);
    if (one.causality != Causality::kOutput) continue;
    outputs += fmt::format("    <Output valueReference=\"{}\"/>\n", one.reference);
    unknowns += fmt::format("    <InitialUnknown valueReference=\"{}\"/>\n", one.reference);
  }
  return text + "  </ModelVariables>\n  <ModelStructure>\n" + outputs + unknowns +
         "  </ModelStructure>\n</fmiModelDescription>\n";
}

std::string documentation_page(const UnitContents& contents, const UnitLabel& label) {
  const scenario::Scenario& scenario = contents.scenario;
  output::Table table{.caption = "Variables",
                      .head = {"variable", "causality", "unit", "is"},
                      .lines = {},
                      .words = 4};
  for (const UnitVariable& one : unit_variables())
    if (one.is_in(contents.with_controller))
      table.lines.push_back({std::string(one.name), causality_word(one.causality),
                             std::string(one.unit), std::string(one.description)});
  const std::string what = what_it_is(contents);
  return output::page_html(
      what,
      output::paragraph_html(fmt::format(
          "This co-simulation unit holds {}: attachment {}, liquid {}. Its own step is {} s. It "
          "takes whole steps, so after a communication step the row stands up to one step behind; "
          "commands and seed edges act at the instant at which they are set.",
          what, scenario.attachment.name, scenario.liquid.name, step_text(label))) +
          output::table_html(table) + output::cautions_section());
}

}  // namespace sim::unit
