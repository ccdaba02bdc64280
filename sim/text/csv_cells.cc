#include "sim/text/csv_cells.h"

namespace sim::text {

std::string_view without_blanks(std::string_view text) {
  constexpr std::string_view kBlanks = " \t\r\"";
  const std::size_t first = text.find_first_not_of(kBlanks);
  if (first == std::string_view::npos) return {};
  return text.substr(first, text.find_last_not_of(kBlanks) - first + 1);
}

std::vector<std::string_view> cells_of(std::string_view line, char parting) {
  std::vector<std::string_view> cells;
  bool quoted = false;
  std::size_t start = 0;
  for (std::size_t i = 0; i < line.size(); ++i) {
    if (line[i] == '"') quoted = !quoted;
    if (line[i] != parting || quoted) continue;
    cells.push_back(without_blanks(line.substr(start, i - start)));
    start = i + 1;
  }
  cells.push_back(without_blanks(line.substr(start)));
  return cells;
}

HeadCell head_cell(std::string_view text) {
  const std::size_t bracket = text.find_first_of("[(");
  if (bracket != std::string_view::npos) {
    std::string_view unit = text.substr(bracket + 1);
    unit = unit.substr(0, unit.find_first_of("])"));
    return {std::string(without_blanks(text.substr(0, bracket))),
            std::string(without_blanks(unit))};
  }
  const std::size_t gap = text.find_last_of("_ ");
  if (gap == std::string_view::npos) return {std::string(text), {}};
  return {std::string(without_blanks(text.substr(0, gap))), std::string(text.substr(gap + 1))};
}

std::optional<std::string> binary_mistake(std::string_view line) {
  for (const char c : line) {
    const auto byte = static_cast<unsigned char>(c);
    if ((byte < 0x20 && c != '\r' && c != '\t') || byte == 0x7f)
      return "binary file: holds the control character " + std::to_string(int{byte});
  }
  return {};
}

std::string shown_cell(std::string_view cell) {
  return "\"" + std::string(cell.substr(0, kMostShown)) + "\"";
}

}  // namespace sim::text
