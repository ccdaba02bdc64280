#include "sim/scenario/delay_file.h"

#include <fmt/format.h>

#include <algorithm>

#include "shared/check_sum.h"
#include "sim/scenario/table_seal.h"
#include "sim/text/document.h"
#include "sim/text/reader.h"

namespace sim::scenario {
namespace {

constexpr std::int64_t kMost = 2'000'000'000;

struct Column {
  const char* key;
  std::int32_t* values;
};

std::string quoted(const std::string& text) {
  std::string out = "\"";
  for (const char c : text) {
    if (c == '"' || c == '\\') out += '\\';
    out += c;
  }
  return out + "\"";
}

std::string list_text(const std::int32_t* values, int count) {
  std::string text = "[";
  for (int k = 0; k < count; ++k) text += fmt::format("{}{}", k == 0 ? "" : ", ", values[k]);
  return text + "]";
}

// The single numbers of the table, in the order of the struct.
std::vector<Column> scalars(sillion_attachment_table& table) {
  return {{"delay_time_us", &table.delay_time_us},
          {"delay_distance_um", &table.delay_distance_um},
          {"reference_band_um", &table.reference_band_um},
          {"reference_lead_us", &table.reference_lead_us},
          {"shortest_on_us", &table.shortest_on_us},
          {"shortest_closed_us", &table.shortest_closed_us},
          {"lift_settable", &table.lift_settable},
          {"evidence_grade", &table.evidence_grade}};
}

std::vector<Column> point_columns(sillion_attachment_table& table) {
  return {{"flow_mm3ps", table.flow_mm3ps},
          {"pressure_pa", table.pressure_pa},
          {"current_ma", table.current_ma},
          {"lead_us", table.lead_us},
          {"lag_us", table.lag_us}};
}

/// Tables that were written before openings were stated have none.
constexpr char kOpening[] = "opening_us";

struct NamedCorrection {
  const char* section;
  const char* at_key;
  const char* outside;
  sillion_correction* correction;
  std::int32_t* pressure_q12;  // null: no pressure correction
};

std::vector<NamedCorrection> corrections(sillion_attachment_table& table) {
  return {{"voltage", "supply_mv", "hold and flag", &table.voltage, nullptr},
          {"viscosity", "viscosity_upas", "hold and flag", &table.viscosity,
           table.viscosity_pressure_q12},
          {"rest", "since_closing_us", "hold", &table.rest, nullptr}};
}

const text::Node& required(const text::Node& table, const std::string& key,
                           const std::string& prefix) {
  const text::Node* node = table.find(key);
  if (node == nullptr) text::fail(table.place, prefix + key, "is missing");
  return *node;
}

const text::Node& section_of(const text::Node& document, const std::string& name) {
  const text::Node& section = required(document, name, "");
  if (section.kind != text::NodeKind::kTable) text::fail(section.place, name, "must be a section");
  return section;
}

int read_list(const text::Node& section, const std::string& prefix, const std::string& key,
              int most, std::int32_t* values) {
  const text::Node& list = required(section, key, prefix);
  if (list.kind != text::NodeKind::kArray || static_cast<int>(list.items.size()) > most)
    text::fail(list.place, prefix + key, fmt::format("must be a list of at most {} numbers", most));
  for (std::size_t k = 0; k < list.items.size(); ++k)
    values[k] =
        static_cast<std::int32_t>(text::read_whole(list.items[k], prefix + key, -kMost, kMost));
  return static_cast<int>(list.items.size());
}

void same_length(const text::Node& section, const std::string& name, int have, int want) {
  if (have != want)
    text::fail(section.place, name, fmt::format("lists differ in length: {} and {}", have, want));
}

void read_table(const text::Node& document, sillion_attachment_table& table) {
  const text::Node& law = section_of(document, "law");
  for (const Column& one : scalars(table))
    *one.values = static_cast<std::int32_t>(
        text::read_whole(required(law, one.key, "law."), one.key, -kMost, kMost));
  const text::Node& points = section_of(document, "points");
  for (const Column& one : point_columns(table)) {
    const int count = read_list(points, "points.", one.key, SILLION_TABLE_POINTS, one.values);
    if (one.values != table.flow_mm3ps) same_length(points, "points", count, table.points);
    table.points = count;
  }
  if (points.find(kOpening) != nullptr)
    same_length(points, "points",
                read_list(points, "points.", kOpening, SILLION_TABLE_POINTS, table.opening_us),
                table.points);
  for (const NamedCorrection& one : corrections(table)) {
    const text::Node& section = section_of(document, one.section);
    const std::string prefix = std::string(one.section) + ".";
    constexpr int kMostPoints = SILLION_CORRECTION_POINTS;
    const int count = read_list(section, prefix, one.at_key, kMostPoints, one.correction->at);
    one.correction->points = count;
    same_length(section, one.section,
                read_list(section, prefix, "lead_us", kMostPoints, one.correction->lead_us), count);
    same_length(section, one.section,
                read_list(section, prefix, "lag_us", kMostPoints, one.correction->lag_us), count);
    if (one.pressure_q12 != nullptr)
      same_length(section, one.section,
                  read_list(section, prefix, "pressure_q12", kMostPoints, one.pressure_q12), count);
  }
  const text::Node& sum = required(document, "check_sum", "");
  const std::string has = fmt::format("{:08x}", table_check_sum(table));
  if (text::read_text_value(sum, "check_sum") != has)
    text::fail(
        sum.place, "check_sum",
        "is \"" + sum.text + "\", the numbers above give \"" + has +
            "\": the table was changed by hand or damaged; write it again with `sillion delay`");
  table.check_sum = table_check_sum(table);
}

double real_of(const text::Node& table, const std::string& key, const std::string& prefix) {
  const text::Node& node = required(table, key, prefix);
  if (node.kind == text::NodeKind::kWhole) return static_cast<double>(node.whole);
  if (node.kind != text::NodeKind::kReal) text::fail(node.place, prefix + key, "must be a number");
  return node.real_si;
}

struct SpeedColumn {
  const char* key;
  double DelayFileSpeed::* value;  // tidy: unit in the key
};
constexpr SpeedColumn kSpeedColumns[] = {
    {"speed_mps", &DelayFileSpeed::speed_mps},
    {"delay_s", &DelayFileSpeed::delay_s},
    {"on_s", &DelayFileSpeed::on_s},
    {"residual_mean_m", &DelayFileSpeed::residual_mean_m},
    {"residual_half_m", &DelayFileSpeed::residual_half_m},
    {"residual_sd_m", &DelayFileSpeed::residual_sd_m},
    {"floor_sd_m", &DelayFileSpeed::floor_sd_m},
    {"within_10mm_ratio", &DelayFileSpeed::within_10mm_ratio},
    {"smallest_spacing_m", &DelayFileSpeed::smallest_spacing_m}};

DelayEvidence read_evidence(const text::Node& node) {
  DelayEvidence evidence;
  const auto text = [&](const char* key) {
    return text::read_text_value(required(node, key, "evidence."), std::string("evidence.") + key);
  };
  evidence.grade = text("grade");
  evidence.date = text("date");
  evidence.attachment_sum = text("attachment_sum");
  evidence.valid_box = text("valid_box");
  evidence.program = text("program");
  evidence.measured_points = static_cast<int>(real_of(node, "measured_points", "evidence."));
  evidence.measured_speeds = static_cast<int>(real_of(node, "measured_speeds", "evidence."));
  evidence.scatter_m = real_of(node, "scatter_m", "evidence.");
  evidence.holds_from_mps = real_of(node, "holds_from_mps", "evidence.");
  evidence.holds_to_mps = real_of(node, "holds_to_mps", "evidence.");
  return evidence;
}

}  // namespace

const std::string* DelayFile::word(const std::string& key) const {
  for (const auto& [name, words] : header)
    if (name == key) return &words;
  return nullptr;
}

const std::vector<std::string>& delay_header_keys() {
  static const std::vector<std::string> kKeys = {
      "attachment", "delivery", "sensor", "band_length", "outlet_offset", "outlet",
      "hose",       "tube",     "valve",  "liquid",      "temperature",   "pressure",
      "voltage",    "wear",     "rate",   "spacing"};
  return kKeys;
}

std::string delay_file_text(const DelayFile& file) {
  sillion_attachment_table table = file.table;
  std::string text =
      "# A delay table, written by `sillion delay`. Do not edit: the check sum would "
      "refuse it.\n";
  if (file.evidence.grade == "simulated") text += std::string("# ") + kSimulatedCaution + "\n";
  text += fmt::format("schema = \"{}\"\ncheck_sum = \"{:08x}\"\n\n[header]\n", kDelaySchema,
                      table_check_sum(table));
  for (const auto& [key, words] : file.header) text += key + " = " + quoted(words) + "\n";
  text += "\n[law]\n";
  for (const Column& one : scalars(table)) text += fmt::format("{} = {}\n", one.key, *one.values);
  text += "\n[points]\n";
  for (const Column& one : point_columns(table))
    text += std::string(one.key) + " = " + list_text(one.values, table.points) + "\n";
  if (std::any_of(std::begin(table.opening_us), std::end(table.opening_us),
                  [](std::int32_t us) { return us != 0; }))
    text += std::string(kOpening) + " = " + list_text(table.opening_us, table.points) + "\n";
  for (const NamedCorrection& one : corrections(table)) {
    const int count = one.correction->points;
    text += fmt::format("\n[{}]\noutside = \"{}\"\n{} = {}\nlead_us = {}\nlag_us = {}\n",
                        one.section, one.outside, one.at_key, list_text(one.correction->at, count),
                        list_text(one.correction->lead_us, count),
                        list_text(one.correction->lag_us, count));
    if (one.pressure_q12 != nullptr)
      text += "pressure_q12 = " + list_text(one.pressure_q12, count) + "\n";
  }
  text += "\n[trims]\nrow_um = " +
          list_text(file.trims_um.data(), static_cast<int>(file.trims_um.size())) + "\n";
  const DelayEvidence& evidence = file.evidence;
  text += fmt::format(
      "\n[evidence]\ngrade = {}\ndate = {}\nmeasured_points = {}\nmeasured_speeds = {}\n"
      "scatter_m = {}\nattachment_sum = {}\nholds_from_mps = {}\nholds_to_mps = {}\n"
      "valid_box = {}\nprogram = {}\n",
      quoted(evidence.grade), quoted(evidence.date), evidence.measured_points,
      evidence.measured_speeds, text::shortest_text(evidence.scatter_m),
      quoted(evidence.attachment_sum), text::shortest_text(evidence.holds_from_mps),
      text::shortest_text(evidence.holds_to_mps), quoted(evidence.valid_box),
      quoted(evidence.program));
  for (const DelayFileSpeed& speed : file.speeds) {
    text += "\n[[speed]]\n";
    for (const SpeedColumn& column : kSpeedColumns)
      text += std::string(column.key) + " = " + text::shortest_text(speed.*column.value) + "\n";
  }
  return text;
}

DelayFile read_delay_file(const std::filesystem::path& path) {
  const text::Node document = text::read_document(path);
  const text::Node* schema = document.find("schema");
  if (schema == nullptr || schema->kind != text::NodeKind::kText || schema->text != kDelaySchema)
    text::fail(schema == nullptr ? document.place : schema->place, "schema",
               std::string("this is no delay table: `sillion delay` writes schema = \"") +
                   kDelaySchema + "\"");
  static const std::string kKnown[] = {"schema", "check_sum", "header",    "law",
                                       "points", "voltage",   "viscosity", "rest",
                                       "trims",  "evidence",  "speed"};
  text::refuse_other_keys(document, "", kKnown);
  DelayFile file;
  for (const auto& [key, node] : section_of(document, "header").entries)
    file.header.emplace_back(key, text::read_text_value(node, "header." + key));
  read_table(document, file.table);
  const text::Node& trims = required(section_of(document, "trims"), "row_um", "trims.");
  for (const text::Node& item : trims.items)
    file.trims_um.push_back(
        static_cast<int>(text::read_whole(item, "trims.row_um", -500'000, 500'000)));
  file.evidence = read_evidence(section_of(document, "evidence"));
  if (const text::Node* speeds = document.find("speed"))
    for (const text::Node& item : speeds->items) {
      DelayFileSpeed speed;
      for (const SpeedColumn& column : kSpeedColumns)
        speed.*column.value = real_of(item, column.key, "speed.");
      file.speeds.push_back(speed);
    }
  return file;
}

}  // namespace sim::scenario
