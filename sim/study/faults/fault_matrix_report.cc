#include "sim/study/faults/fault_matrix_report.h"

#include <fmt/format.h>

#include <algorithm>
#include <nlohmann/json.hpp>

#include "sim/output/cautions.h"
#include "sim/output/csv_field.h"
#include "sim/output/json_text.h"
#include "sim/output/write_folder.h"

namespace sim::faults {
namespace {

using Json = nlohmann::ordered_json;

char sign_of(const JudgedCell& one) {
  switch (one.state) {
    case CellState::kHeld: return '=';
    case CellState::kDegraded: return '~';
    case CellState::kNeverActed: return '?';
    case CellState::kViolated:
    case CellState::kControllerFault: return one.known ? 'x' : '!';
  }
  return '?';
}

std::string_view severity_word(const JudgedCell& one) {
  return one.cell.kind.empty() ? std::string_view{}
                               : scenario::kSeverities[static_cast<std::size_t>(one.cell.severity)];
}

std::string command_of(const MatrixResult& result, const JudgedCell& one) {
  std::string command = "sillion run " + result.matrix.scenarios[one.cell.scenario].base.string();
  for (const std::string& set : one.cell.sets(result.matrix)) command += " --set '" + set + "'";
  return command;
}

std::string cells_csv(const MatrixResult& result) {
  std::string csv = "kind,severity,scenario,state,known,words\n";
  for (const JudgedCell& one : result.cells)
    csv +=
        fmt::format("{},{},{},{},{},{}\n", one.cell.kind, severity_word(one),
                    output::csv_field(result.matrix.scenarios[one.cell.scenario].name),
                    state_word(one.state), one.known ? "yes" : "no", output::csv_field(one.words));
  return csv;
}

/// The three signs of a cell stay on one line of the page.
std::string unbroken(const std::string& signs) {
  std::string text;
  for (const char c : signs) text += c == ' ' ? std::string("\u00a0") : std::string(1, c);
  return text;
}

std::string page_of(const MatrixResult& result) {
  const std::vector<std::string> findings = matrix_findings(result);
  std::string body =
      output::verdict_html(result.matrix.name, matrix_sentence(result), "", !result.red().empty());
  output::Table table = matrix_table(result);
  table.caption =
      "Signs for mild, medium and severe: = held, ~ degraded, ! violated, x known to be violated, "
      "? never acted, . not in this scenario.";
  for (std::vector<std::string>& line : table.lines)
    for (std::size_t k = 1; k < line.size(); ++k) line[k] = unbroken(line[k]);
  body += output::section_html("Every fault in every scenario", output::table_html(table));
  if (!findings.empty())
    body += output::section_html("What needs a look", output::list_html(findings));
  output::Table severities{.caption = "What the severities are.",
                           .head = {"Fault", "Mild, medium, severe"},
                           .lines = {},
                           .words = 2};
  for (const std::string& kind : result.matrix.kinds)
    severities.lines.push_back({kind, scenario::severity_words(kind)});
  body += output::section_html("Severities", output::table_html(severities));
  body += output::paragraph_html(output::words_of(output::Caution::kDesignAid));
  return output::page_html(result.matrix.title.empty() ? "Fault matrix" : result.matrix.title,
                           body);
}

}  // namespace

std::string matrix_sentence(const MatrixResult& result) {
  const std::size_t faults =
      result.cells.size() - result.matrix.scenarios.size();  // cells with a fault
  const auto known = static_cast<std::size_t>(
      std::count_if(result.cells.begin(), result.cells.end(), [](const JudgedCell& one) {
        return one.known &&
               (one.state == CellState::kViolated || one.state == CellState::kControllerFault);
      }));
  std::string more;
  if (const std::size_t idle = result.never_acted().size(); idle > 0)
    more += fmt::format(", {} never acted", idle);
  const auto bare = std::count_if(result.cells.begin(), result.cells.end(), [](const auto& one) {
    return one.cell.kind.empty() && one.state != CellState::kHeld;
  });
  if (bare > 0) more += fmt::format("; {} scenarios do not hold even without a fault", bare);
  return fmt::format(
      "{} of {} cells are violated and not known to be; {} known to be violated, {} degraded, {} "
      "held{} ({} faults, {} severities, {} scenarios)",
      result.count(CellState::kViolated) + result.count(CellState::kControllerFault) - known,
      faults, known, result.count(CellState::kDegraded), result.count(CellState::kHeld), more,
      result.matrix.kinds.size(), result.matrix.severities.size(), result.matrix.scenarios.size());
}

output::Table matrix_table(const MatrixResult& result) {
  const FaultMatrix& matrix = result.matrix;
  output::Table table{.caption = "", .head = {"fault"}, .lines = {}};
  for (const MatrixScenario& one : matrix.scenarios) table.head.push_back(one.name);
  table.words = table.head.size();
  for (const std::string& kind : matrix.kinds) {
    std::vector<std::string> line = {kind};
    for (std::size_t at = 0; at < matrix.scenarios.size(); ++at) {
      std::string signs;
      for (const JudgedCell& one : result.cells)
        if (one.cell.kind == kind && one.cell.scenario == at)
          signs += signs.empty() ? std::string(1, sign_of(one)) : std::string{' ', sign_of(one)};
      line.push_back(signs.empty() ? "." : signs);
    }
    table.lines.push_back(std::move(line));
  }
  return table;
}

std::vector<std::string> matrix_findings(const MatrixResult& result) {
  std::vector<std::string> lines;
  for (const JudgedCell* one : result.red())
    lines.push_back(fmt::format(
        "{}: {}{}; {}: {}", one->cell.id(result.matrix), state_word(one->state),
        one->cell.kind.empty() ? " without a fault" : "", one->words, command_of(result, *one)));
  for (const JudgedCell* one : result.mended())
    lines.push_back(fmt::format("{}: {}, no longer violated: take it out of `known`",
                                one->cell.id(result.matrix), state_word(one->state)));
  for (const JudgedCell* one : result.never_acted())
    lines.push_back(fmt::format(
        "{}: the fault changed nothing in the pass: begin it at another time, or put it into "
        "`skips`",
        one->cell.id(result.matrix)));
  return lines;
}

std::string matrix_json(const MatrixResult& result) {
  Json object;
  object["schema"] = "sillion.faults.1";
  object["name"] = result.matrix.name;
  object["title"] = result.matrix.title;
  object["sentence"] = matrix_sentence(result);
  object["verdict"] = result.red().empty() && result.never_acted().empty() ? "hold" : "fail";
  for (const CellState state : {CellState::kHeld, CellState::kDegraded, CellState::kViolated,
                                CellState::kControllerFault, CellState::kNeverActed})
    object["counts"][std::string(state_word(state))] = result.count(state);
  object["cells"] = Json::array();
  for (const JudgedCell& one : result.cells)
    object["cells"].push_back({{"kind", one.cell.kind},
                               {"severity", severity_word(one)},
                               {"scenario", result.matrix.scenarios[one.cell.scenario].name},
                               {"state", state_word(one.state)},
                               {"known", one.known},
                               {"words", one.words}});
  return object.dump(2) + "\n";
}

void write_matrix(const MatrixResult& result, const std::filesystem::path& out) {
  const output::ResultFile files[] = {{"summary.json", matrix_json(result)},
                                      {"cells.csv", cells_csv(result)},
                                      {"report.html", page_of(result)}};
  output::write_folder(files, out);
}

}  // namespace sim::faults
