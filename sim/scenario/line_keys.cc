#include "sim/scenario/line_keys.h"

#include <stdexcept>
#include <string>
#include <vector>

#include "model/fluid/wave_speed.h"
#include "shared/units.h"

namespace sim::scenario {
namespace {

constexpr std::size_t kMostElements = 8;

}  // namespace

void read_line_creep(const text::Node& table, const std::string& prefix, model::Line& line) {
  static const std::string kKnown[] = {"compliance", "time"};
  const text::Node* list = table.kind == text::NodeKind::kTable ? table.find("creep") : nullptr;
  if (list == nullptr) return;
  if (list->kind != text::NodeKind::kArray || list->items.size() > kMostElements)
    text::fail(list->place, prefix + "creep",
               "must be a list of at most " + std::to_string(kMostElements) +
                   " elements {compliance = ..., time = ...}");
  line.creep.clear();
  for (const text::Node& item : list->items) {
    const std::string name = prefix + "creep[" + std::to_string(line.creep.size()) + "].";
    if (item.kind != text::NodeKind::kTable)
      text::fail(item.place, prefix + "creep",
                 "each element is a table {compliance = ..., time = ...}");
    text::refuse_other_keys(item, name, kKnown);
    const text::Node* compliance = item.find("compliance");
    const text::Node* time = item.find("time");
    if (compliance == nullptr || time == nullptr)
      text::fail(item.place, name + (compliance == nullptr ? "compliance" : "time"), "is missing");
    line.creep.push_back(
        {.compliance_ppa = text::read_quantity_si(*compliance, name + "compliance",
                                                  text::Kind::kCompliance, {0.0, 1e-5}),
         .time_s =
             text::read_quantity_si(*time, name + "time", text::Kind::kTime, {0.0, 1e5, true})});
  }
}

void read_creep(const text::Node& attachment, AttachmentSection& section) {
  if (const text::Node* hose = attachment.find("hose"))
    read_line_creep(*hose, "attachment.hose.", section.hose);
  if (const text::Node* tube = attachment.find("tube"))
    read_line_creep(*tube, "attachment.tube.", section.tube);
}

void finish_line_keys(const text::Node& document, const text::Places& places,
                      const text::Place& file, const std::string& key, double pressure_abs_pa,
                      const model::Liquid& liquid, model::Line& line) {
  const bool speed_stated = text::find_dotted(document, key + ".wave_speed") != nullptr;
  if (speed_stated) {
    line.wall.thickness_m = 0.0;
    if (text::find_dotted(document, key + ".creep") == nullptr) line.creep.clear();
  }
  if (line.wall.thickness_m <= 0.0 && line.creep.empty() && line.wave_speed_mps <= 0.0)
    return;  // checks.h reports it where a row needs it
  try {
    model::finish_line(line, liquid, pressure_abs_pa);
  } catch (const std::invalid_argument& error) {
    for (const char* part : {".wall", ".creep", ".wave_speed"}) {
      const auto stated = places.find(key + part);
      if (stated != places.end()) text::fail(stated->second, key + part, error.what());
    }
    text::fail(file, key, error.what());
  }
}

void finish_lines(const text::Node& document, const text::Places& places, const text::Place& file,
                  Scenario& scenario) {
  AttachmentSection& part = scenario.attachment;
  model::Liquid& liquid = scenario.liquid.liquid;
  const double atmosphere_pa = shared::kStandardAtmosphere_pa;
  finish_line_keys(document, places, file, "attachment.hose",
                   atmosphere_pa + scenario.supply.pressure_pa, liquid, part.hose);
  finish_line_keys(document, places, file, "attachment.tube", atmosphere_pa, liquid, part.tube);
  liquid = model::with_gas(liquid);
}

}  // namespace sim::scenario
