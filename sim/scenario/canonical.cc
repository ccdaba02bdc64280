// The canonical text of a scenario, from which its parameters hash is computed.
#include <algorithm>
#include <string>
#include <utility>
#include <vector>

#include "sim/scenario/loader.h"
#include "sim/scenario/sections.h"

namespace sim::scenario {
namespace {

// Free text and paths change nothing that is computed; the contents behind a path are written.
constexpr std::string_view kLeftOut[] = {"title", "attachment.note", "controller.library",
                                         "controller.table", "controller.storage"};

// Keys that were added when baselines existed already. They are written only if they differ from
// their default, so that the inputs hash of a scenario that does not state them is unchanged.
constexpr std::string_view kLaterKeys[] = {"controller.watchdog",
                                           "controller.opening_trim",
                                           "controller.rest_correction",
                                           "controller.storage_erase",
                                           "controller.storage_program",
                                           "controller.storage_endurance",
                                           "controller.brown_out",
                                           "controller.brown_out_time",
                                           "network.acknowledged",
                                           "solver.precision",
                                           "work.run",
                                           "work.run_times",
                                           "attachment.valve.coil.clamp",
                                           "attachment.valve.coil.diode",
                                           "attachment.valve.coil.chop",
                                           "attachment.valve.coil.force_law",
                                           "attachment.valve.coil.gap",
                                           "attachment.valve.coil.leakage",
                                           "attachment.valve.coil.saturation",
                                           "attachment.valve.coil.half_current",
                                           "attachment.valve.coil.remanence",
                                           "attachment.valve.coil.eddy_resistance",
                                           "network.radio.period",
                                           "network.radio.slot",
                                           "network.radio.bit_rate",
                                           "network.radio.overhead",
                                           "network.radio.queue",
                                           "network.radio.latency",
                                           "network.radio.latency_scatter",
                                           "network.radio.worsens",
                                           "network.radio.recovers",
                                           "network.radio.lost_good",
                                           "network.radio.lost_bad",
                                           "network.radio.repeated",
                                           "network.cab.simulated",
                                           "network.cab.load",
                                           "network.cab.bit_errors",
                                           "network.cab.own_period",
                                           "network.power.awake",
                                           "network.power.asleep",
                                           "network.power.call",
                                           "network.power.transmit",
                                           "network.power.receive"};

class Writer : public text::Fields {
 public:
  std::vector<std::string> lines;

  void add(const std::string& key, const std::string& value) {
    if (std::find(std::begin(kLeftOut), std::end(kLeftOut), key) == std::end(kLeftOut))
      lines.push_back(key + " = " + value + "\n");
  }

  void begin(std::string_view name, std::string_view) override {
    prefix_ += std::string(name) + ".";
  }
  void end() override {
    prefix_.pop_back();
    prefix_.resize(prefix_.find_last_of('.') + 1);
  }
  void quantity(std::string_view key, double& value_si, text::Kind, text::Range,
                std::string_view) override {
    add(prefix_ + std::string(key), text::shortest_text(value_si));
  }
  void quantity_or_auto(std::string_view key, double& value_si, bool& automatic, text::Kind,
                        text::Range, std::string_view) override {
    add(prefix_ + std::string(key), automatic ? "auto" : text::shortest_text(value_si));
  }
  void quantities(std::string_view key, std::vector<double>& values_si, text::Kind, text::Range,
                  std::string_view) override {
    std::string all;
    for (const double value_si : values_si) all += " " + text::shortest_text(value_si);
    add(prefix_ + std::string(key), "[" + all + " ]");
  }
  void whole_number(std::string_view key, std::int64_t& value, std::int64_t, std::int64_t,
                    std::string_view) override {
    add(prefix_ + std::string(key), std::to_string(value));
  }
  void flag(std::string_view key, bool& value, std::string_view) override {
    add(prefix_ + std::string(key), value ? "true" : "false");
  }
  void text(std::string_view key, std::string& value, std::string_view) override {
    add(prefix_ + std::string(key), value);
  }
  void word(std::string_view key, int& index, std::span<const std::string_view> words,
            std::string_view) override {
    add(prefix_ + std::string(key), std::string(words[static_cast<std::size_t>(index)]));
  }
  void special(std::string_view, std::string_view, std::string_view) override {
  }  // written below, as what they led to

 private:
  std::string prefix_;
};

void drop_later_defaults(std::vector<std::string>& lines) {
  Scenario defaults;
  Writer plain;
  describe(defaults, plain);
  for (const std::string_view key : kLaterKeys) {
    const std::string start = std::string(key) + " = ";
    const auto line = std::find_if(plain.lines.begin(), plain.lines.end(),
                                   [&](const auto& one) { return one.starts_with(start); });
    std::erase(lines, *line);
  }
}

std::string numbered(std::string_view key, std::size_t index) {
  std::string digits = std::to_string(index);
  return std::string(key) + "." + std::string(8 - std::min<std::size_t>(8, digits.size()), '0') +
         digits;  // sorts in numerical order
}

/// The storage image, where there is one, as hexadecimal digits.
void write_image(const std::vector<std::uint8_t>& image, Writer& writer) {
  if (image.empty()) return;
  std::string digits;
  for (const std::uint8_t byte : image) {
    digits += "0123456789abcdef"[byte >> 4];
    digits += "0123456789abcdef"[byte & 15];
  }
  writer.add("controller.storage_image", digits);
}

std::string fault_text(const FaultEntry& f) {
  std::string text = f.kind + " " + std::to_string(f.row) + " " + text::shortest_text(f.from_s) +
                     " " + text::shortest_text(f.until_s) + " " + text::shortest_text(f.by_s) +
                     " " + text::shortest_text(f.amount_ratio);
  if (f.cause != 0 || f.retained != 0)
    text += " " + std::to_string(f.cause) + " " + std::to_string(f.retained);
  if (f.write != 0 || f.bits != 0)
    text += " " + std::to_string(f.write) + " " + std::to_string(f.bytes) + " " +
            std::to_string(f.page) + " " + std::to_string(f.bits);
  return text;
}

void add_load_ids(const Scenario& scenario, Writer& writer) {
  std::size_t index = 0;
  if (scenario.network.cab.load_ids != CabSection{}.load_ids)
    for (const std::uint32_t id : scenario.network.cab.load_ids)
      writer.add(numbered("network.cab.load_ids", index++), std::to_string(id));
}

}  // namespace

std::string canonical_text(const Scenario& scenario) {
  Scenario copy = scenario;
  Writer writer;
  describe(copy, writer);
  drop_later_defaults(writer.lines);
  std::size_t index = 0;
  for (const model::TravelKnot& knot : scenario.travel.profile) {
    writer.add(numbered("travel.profile", index++), text::shortest_text(knot.time_s) + " " +
                                                        text::shortest_text(knot.speed_mps) + " " +
                                                        text::shortest_text(knot.yaw_rate_radps));
  }
  index = 0;
  for (const double spacing_m : scenario.seeding.spacings_m) {
    writer.add(numbered("seeding.spacings", index++), text::shortest_text(spacing_m));
  }
  for (const auto& [name, line] : {std::pair{"hose", &scenario.attachment.hose},
                                   std::pair{"tube", &scenario.attachment.tube}}) {
    index = 0;
    for (const model::CreepElement& element : line->creep)
      writer.add(
          numbered("attachment." + std::string(name) + ".creep", index++),
          text::shortest_text(element.compliance_ppa) + " " + text::shortest_text(element.time_s));
  }
  index = 0;
  const model::LinkageTable& linkage = scenario.attachment.valve.coil.table;
  for (const std::vector<double>* values :
       {&linkage.lift_m, &linkage.current_a, &linkage.linkage_vs})
    for (const double value : *values)  // tidy: m, A, V s in turn
      writer.add(numbered("attachment.valve.coil.table", index++), text::shortest_text(value));
  write_image(scenario.controller.storage_image, writer);
  index = 0;
  for (const RowsOff& off : scenario.work.row_off) {
    std::string text = text::shortest_text(off.from_s) + " " + text::shortest_text(off.until_s);
    for (const int row : off.rows) text += " " + std::to_string(row);
    writer.add(numbered("work.row_off", index++), text);
  }
  add_load_ids(scenario, writer);
  index = 0;
  for (const RateZone& zone : scenario.rate.zones)
    writer.add(numbered("rate.zone", index++), text::shortest_text(zone.from_s) + " " +
                                                   text::shortest_text(zone.until_s) + " " +
                                                   text::shortest_text(zone.in_band_m3pm2));
  index = 0;
  for (const FaultEntry& f : scenario.faults) {
    writer.add(numbered("fault", index++), fault_text(f));
  }
  index = 0;
  for (const Requirement& r : scenario.requirements) {
    std::string text = r.metric + (r.sense == BoundSense::kAtMost ? " <= " : " >= ") +
                       text::shortest_text(r.bound);
    // The rule's words have rounded times, so the exact times are added.
    if (r.rule.form != TemporalForm::kNone)
      text +=
          " " + text::shortest_text(r.rule.within_s) + " " + text::shortest_text(r.rule.grace_s);
    writer.add(numbered("require", index++), text);
  }
  std::sort(writer.lines.begin(), writer.lines.end());
  std::string all;
  for (const std::string& line : writer.lines) all += line;
  return all;
}

std::string canonical_attachment(const AttachmentSection& attachment) {
  Scenario whole;
  whole.attachment = attachment;
  const std::string all = canonical_text(whole);
  std::string own;
  for (std::size_t from = 0; from < all.size();) {
    const std::size_t to = all.find('\n', from) + 1;
    const std::string line = all.substr(from, to - from);
    if (line.rfind("attachment.", 0) == 0 && line.rfind("attachment.name ", 0) != 0) own += line;
    from = to;
  }
  return own;
}

}  // namespace sim::scenario
