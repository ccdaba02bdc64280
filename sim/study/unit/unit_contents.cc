#include "sim/study/unit/unit_contents.h"

#include <array>
#include <charconv>
#include <cstring>
#include <sstream>

#include "sim/scenario/loader.h"
#include "sim/study/unit/canonical_read.h"
#include "sim/text/input_error.h"

namespace sim::unit {
namespace {

constexpr std::string_view kFirstLine = "sillion row unit 1";
constexpr std::size_t kTableWords = sizeof(sillion_attachment_table) / sizeof(std::int32_t);
static_assert(kTableWords * sizeof(std::int32_t) == sizeof(sillion_attachment_table));
using TableWords = std::array<std::int32_t, kTableWords>;

std::string value_of_line(std::istringstream& lines, const std::string& key) {
  std::string line;
  if (!std::getline(lines, line) || !line.starts_with(key + " = "))
    throw text::InputError("contents of the unit: `" + key + " = ...` is missing");
  return line.substr(key.size() + 3);
}

std::int32_t whole_in(const std::string& word) {
  std::int32_t value = 0;
  const auto [end, error] = std::from_chars(word.data(), word.data() + word.size(), value);
  if (error != std::errc() || end != word.data() + word.size())
    throw text::InputError("contents of the unit: `" + word + "` is no whole number");
  return value;
}

}  // namespace

scenario::Scenario carried(const scenario::Scenario& scenario) {
  scenario::Scenario left = scenario;
  left.travel.profile.clear();
  left.travel.log.clear();
  left.seeding.spacings_m.clear();
  left.work = {};
  left.rate.zones.clear();
  left.network = {};
  left.faults.clear();
  left.requirements.clear();
  left.controller.storage_image.clear();
  return left;
}

void require_carried(const UnitContents& contents) {
  const scenario::Scenario& scenario = contents.scenario;
  if (scenario.row.physics != scenario::RowPhysics::kFull)
    throw text::InputError(scenario.name +
                           ": row.physics: an ideal row has no liquid path to export; state "
                           "row.physics = \"full\"");
  if (contents.with_controller && !scenario.controller.library.empty())
    throw text::InputError(scenario.name +
                           ": controller.library: a unit carries the reference controller only");
  if (contents.row < 0 || contents.row >= scenario.row.count)
    throw text::InputError(scenario.name + ": there is no row " + std::to_string(contents.row) +
                           ": rows are numbered from 0 to " +
                           std::to_string(scenario.row.count - 1));
  if (!scenario.attachment.valve.coil.table.lift_m.empty())
    throw text::InputError(scenario.name +
                           ": attachment.valve.coil.table: a unit cannot carry a table of flux "
                           "linkage; state force_law and its keys instead");
  const std::string text = scenario::canonical_text(scenario);
  if (scenario::canonical_text(read_canonical(text)) != text)
    throw text::InputError(scenario.name + ": the unit cannot carry this scenario exactly");
}

std::string contents_text(const UnitContents& contents) {
  std::string text = std::string(kFirstLine) + "\n";
  const auto line = [&](const char* key, std::int32_t value) {
    text += std::string(key) + " = " + std::to_string(value) + "\n";
  };
  line("row", contents.row);
  line("drawn", contents.drawn ? 1 : 0);
  line("with_controller", contents.with_controller ? 1 : 0);
  line("trim_um", contents.trim_um);
  TableWords words{};
  std::memcpy(words.data(), &contents.table, sizeof contents.table);
  text += "table =";
  for (const std::int32_t word : words) text += " " + std::to_string(word);
  return text + "\n" + scenario::canonical_text(contents.scenario);
}

UnitContents read_contents(const std::string& text) {
  std::istringstream lines(text);
  std::string first;
  if (!std::getline(lines, first) || first != kFirstLine)
    throw text::InputError("contents of the unit: the first line is not `" +
                           std::string(kFirstLine) + "`");
  UnitContents contents;
  contents.row = whole_in(value_of_line(lines, "row"));
  contents.drawn = whole_in(value_of_line(lines, "drawn")) != 0;
  contents.with_controller = whole_in(value_of_line(lines, "with_controller")) != 0;
  contents.trim_um = whole_in(value_of_line(lines, "trim_um"));
  std::istringstream table(value_of_line(lines, "table"));
  TableWords words{};
  std::string word;
  for (std::int32_t& one : words) {
    if (!(table >> word)) throw text::InputError("contents of the unit: the table is cut short");
    one = whole_in(word);
  }
  std::memcpy(&contents.table, words.data(), sizeof contents.table);
  contents.scenario = read_canonical(text.substr(static_cast<std::size_t>(lines.tellg())));
  return contents;
}

bench::RowFixed fixed_of(const UnitContents& contents) {
  return contents.drawn ? bench::drawn_row(contents.scenario, contents.row)
                        : bench::nominal_row(contents.scenario, contents.row);
}

UnitInputs start_inputs(const UnitContents& contents) {
  const scenario::SupplySection& supply = contents.scenario.supply;
  // With a controller the regulator begins at its lowest pressure, as in a pass.
  return {
      .supply_pressure_pa = contents.with_controller ? supply.pressure_min_pa : supply.pressure_pa,
      .supply_voltage_v = supply.voltage_v};
}

}  // namespace sim::unit
