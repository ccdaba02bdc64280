#include "sim/scenario/spacings_csv.h"

#include <string>
#include <string_view>

#include "sim/text/document.h"
#include "sim/text/quantity.h"

namespace sim::scenario {
namespace {

constexpr std::size_t kMostBytes = 64'000'000;

std::string_view without_blanks(std::string_view text) {
  while (!text.empty() && (text.back() == '\r' || text.back() == ' ' || text.back() == '\t'))
    text.remove_suffix(1);
  while (!text.empty() && (text.front() == ' ' || text.front() == '\t')) text.remove_prefix(1);
  return text;
}

// The unit is the last word of the header, after an underscore, a blank or a bracket.
std::string unit_of(std::string_view header, const text::Place& place) {
  std::string word;
  for (const char c : header) {
    if (c == '_' || c == ' ' || c == '[' || c == '(')
      word.clear();
    else if (c != ']' && c != ')' && c != '"')
      word += c;
  }
  const text::Quantity probe = text::parse_quantity("1 " + word, text::Kind::kLength);
  if (!probe.error.empty()) {
    text::fail(place, "spacings",
               "the header must end in a unit of length, such as `spacing_mm` (units: " +
                   text::unit_names(text::Kind::kLength) + ")");
  }
  return probe.unit;
}

}  // namespace

std::vector<double> read_spacings_m(const std::filesystem::path& file) {
  const std::string content = text::read_text(file, kMostBytes);
  std::vector<double> spacings_m;
  double sum_m = 0.0;
  std::string unit;
  text::Place place{file.string(), 0, {}};
  for (std::string_view rest = content; !rest.empty();) {
    const std::size_t end = rest.find('\n');
    const std::string_view line = without_blanks(rest.substr(0, end));
    rest.remove_prefix(end == std::string_view::npos ? rest.size() : end + 1);
    ++place.line;
    if (line.empty()) continue;
    if (unit.empty()) {
      unit = unit_of(line, place);
      continue;
    }
    const text::Quantity spacing =
        text::parse_quantity(std::string(line) + " " + unit, text::Kind::kLength);
    if (!spacing.error.empty())
      text::fail(place, "spacings",
                 "\"" + std::string(line.substr(0, 40)) +
                     "\" is not a number: write one spacing per line");
    if (!(spacing.value_si >= 0.0 && spacing.value_si <= 100.0)) {
      text::fail(place, "spacings",
                 "\"" + std::string(line.substr(0, 40)) + " " + unit +
                     "\" is out of range: must be from 0 m (two seeds at one place) to 100 m");
    }
    spacings_m.push_back(spacing.value_si);
    sum_m += spacing.value_si;
  }
  if (spacings_m.empty()) text::fail({file.string(), 0, {}}, "spacings", "contains no spacings");
  if (sum_m <= 0.0)
    text::fail({file.string(), 0, {}}, "spacings",
               "contains no spacing above 0: the row would stand");
  return spacings_m;
}

}  // namespace sim::scenario
