// The cases of a search: a point of the unit cube as changes, as a scenario and as words.
#include <algorithm>
#include <cmath>

#include "model/reproducible_math.h"
#include "sim/scenario/faults/catalog.h"
#include "sim/scenario/layers.h"
#include "sim/scenario/overlay.h"
#include "sim/scenario/sections.h"
#include "sim/study/search/search.h"
#include "sim/text/quantity.h"
#include "sim/text/selective_fields.h"

namespace sim::search {
namespace {

constexpr int kDigits = 5;
constexpr int kMostDigits = 15;  // as many as every double keeps

std::size_t place_in(std::size_t count, double share_ratio) {
  return std::min(count - 1, static_cast<std::size_t>(share_ratio * static_cast<double>(count)));
}

double between(double low_si, double high_si, double share_ratio) {  // tidy: unit the ends'
  return low_si + share_ratio * (high_si - low_si);
}

std::string time_text(double time_s) {
  return text::format_quantity(time_s, text::Kind::kTime, "s", kDigits);
}

double written_s(double time_s) {
  return text::parse_quantity(time_text(time_s), text::Kind::kTime).value_si;
}

double value_at_si(const scenario::AxisDraw& draw, double share_ratio) {
  if (draw.shape != scenario::DrawShape::kLogUniform)
    return between(draw.first_si, draw.second_si, share_ratio);
  return draw.first_si * model::exp_of(share_ratio * model::log_of(draw.second_si / draw.first_si));
}

FaultPick pick_at(const FaultRange& range, const double* shares_ratio) {
  // One place more than there are kinds: without a fault.
  const std::size_t kind = place_in(range.kinds.size() + 1, shares_ratio[0]);
  if (kind == range.kinds.size()) return {};
  return {.kind = range.kinds[kind],
          .severity = range.severities[place_in(range.severities.size(), shares_ratio[1])],
          .from_s = written_s(between(range.first_s, range.last_s, shares_ratio[2])),
          .lasts_s = written_s(between(range.shortest_s, range.longest_s, shares_ratio[3]))};
}

const scenario::FaultKind& kind_of(const std::string& name) {
  const std::vector<scenario::FaultKind>& kinds = scenario::fault_kinds();
  return *std::find_if(kinds.begin(), kinds.end(),
                       [&](const auto& kind) { return kind.name == name; });
}

/// Enough that a range of a thousandth of its distance from 0 has as many values as a wide one.
int digits_of(const scenario::StudyAxis& range) {
  const scenario::AxisDraw& draw = range.draw;
  double far_ratio = std::max(std::abs(draw.first_si), std::abs(draw.second_si)) /
                     (draw.second_si - draw.first_si);
  int digits = kDigits;
  for (; far_ratio >= 10.0 && digits < kMostDigits; far_ratio /= 10.0) ++digits;
  return digits;
}

std::string written_with(const scenario::StudyAxis& range, double value_si, int digits) {
  if (range.draw.unit.empty())
    return text::shortest_text(
        text::parse_quantity(text::format_quantity(value_si, text::Kind::kRatio, "", digits),
                             text::Kind::kRatio)
            .value_si);
  return text::format_quantity(value_si, range.draw.kind, range.draw.unit, digits);
}

/// The value, rounded, but not past the ends of its range.
std::string written_inside(const scenario::StudyAxis& range, double value_si) {
  const scenario::AxisDraw& draw = range.draw;
  std::string rounded = written_value(range, value_si);
  const double rounded_si = text::parse_quantity(rounded, draw.kind).value_si;
  const double inside_si = std::clamp(rounded_si, draw.first_si, draw.second_si);
  return inside_si == rounded_si ? rounded : written_with(range, inside_si, kMostDigits);
}

/// Finds the quantity of one key among all that a scenario describes.
class Finder : public text::SelectiveFields {
 public:
  explicit Finder(std::string key) : key_(std::move(key)) {}
  double found_si = 0.0;  // tidy: unit is the key's

  void quantity(std::string_view key, double& value_si, text::Kind, text::Range,
                std::string_view) override {
    if (dotted(key) == key_) found_si = value_si;
  }
  void quantity_or_auto(std::string_view key, double& value_si, bool&, text::Kind kind,
                        text::Range range, std::string_view help) override {
    quantity(key, value_si, kind, range, help);
  }

 private:
  std::string key_;
};

}  // namespace

Changes no_changes(const Search& search) {
  return {.values = std::vector<std::string>(search.ranges.size()),
          .faults = std::vector<FaultPick>(search.faults.size())};
}

std::string written_value(const scenario::StudyAxis& range, double value_si) {
  return written_with(range, value_si, digits_of(range));
}

Changes changes_of(const Search& search, const Point& point) {
  Changes changes;
  for (std::size_t k = 0; k < search.ranges.size(); ++k) {
    const scenario::StudyAxis& range = search.ranges[k];
    changes.values.push_back(range.values.empty()
                                 ? written_inside(range, value_at_si(range.draw, point[k]))
                                 : range.values[place_in(range.values.size(), point[k])]);
  }
  for (std::size_t k = 0; k < search.faults.size(); ++k)
    changes.faults.push_back(pick_at(search.faults[k], &point[search.ranges.size() + 4 * k]));
  return changes;
}

std::string fault_toml(const FaultPick& pick) {
  const scenario::FaultKind& kind = kind_of(pick.kind);
  std::string toml = "{kind = \"" + pick.kind + "\", severity = \"" +
                     std::string(scenario::kSeverities[static_cast<std::size_t>(pick.severity)]) +
                     "\"";
  if (!kind.of_storage) toml += ", from = \"" + time_text(pick.from_s) + "\"";
  if (!kind.of_storage && !kind.once)
    toml += ", until = \"" + time_text(pick.from_s + pick.lasts_s) + "\"";
  return toml + "}";
}

text::Node document_with(const Search& search, const Changes& changes) {
  text::Node document = search.document;
  for (std::size_t k = 0; k < changes.values.size(); ++k)
    if (!changes.values[k].empty())
      scenario::lay_set_over(document, search.ranges[k].key + "=" + changes.values[k]);
  for (const FaultPick& pick : changes.faults) {
    if (pick.kind.empty()) continue;
    const text::Node* list = document.find("fault");
    const std::size_t next = list == nullptr ? 0 : list->items.size();
    scenario::lay_set_over(document, "fault[" + std::to_string(next) + "]=" + fault_toml(pick));
  }
  return document;
}

scenario::Scenario scenario_with(const Search& search, const Changes& changes) {
  scenario::Scenario scenario = scenario::scenario_of(document_with(search, changes), search.file);
  if (search.held) hold_table(*search.held, scenario);
  return scenario;
}

std::vector<std::string> words_of(const Search& search, const Changes& changes) {
  std::vector<std::string> words;
  for (std::size_t k = 0; k < changes.values.size(); ++k)
    if (!changes.values[k].empty())
      words.push_back(search.ranges[k].key + " = " + changes.values[k]);
  for (const FaultPick& pick : changes.faults)
    if (!pick.kind.empty()) words.push_back("fault " + fault_toml(pick));
  return words;
}

double base_value_si(const Search& search, const scenario::StudyAxis& range) {
  // A quantity inside a list is stated in the document, where a range can be laid over it at all.
  std::string dotted = range.key;
  std::replace(dotted.begin(), dotted.end(), '[', '.');
  std::erase(dotted, ']');
  const std::size_t list_end = range.key.find('[');
  if (list_end != std::string::npos) {
    const text::Node* list = text::find_dotted(search.document, range.key.substr(0, list_end));
    const std::size_t index = std::stoul(range.key.substr(list_end + 1));
    const std::string name = range.key.substr(range.key.find("].") + 2);
    if (list == nullptr || index >= list->items.size()) return 0.0;
    const text::Node* node = list->items[index].find(name);
    if (node == nullptr) return 0.0;
    return node->kind == text::NodeKind::kText
               ? text::parse_quantity(node->text, range.draw.kind).value_si
               : static_cast<double>(node->whole) + node->real_si;
  }
  // The loader turns a population into a spacing.
  if (range.key == "seeding.population")
    return 1.0 / (search.base.seeding.meter.spacing_m * search.base.row.width_m);
  scenario::Scenario copy = search.base;
  Finder finder(range.key);
  describe(copy, finder);
  return finder.found_si;
}

}  // namespace sim::search
