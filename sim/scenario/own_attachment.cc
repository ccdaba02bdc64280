#include "sim/scenario/own_attachment.h"

#include <algorithm>
#include <vector>

#include "sim/scenario/catalog.h"
#include "sim/scenario/valve_file.h"
#include "sim/text/nearest.h"
#include "sim/text/reader.h"

namespace sim::scenario {
namespace {

/// A key that a part must state; any of its keys is enough.
struct Needed {
  const char* key;
  const char* or_key = nullptr;
  const char* or_third = nullptr;
};

constexpr Needed kNeeded[] = {{"outlet_offset"},
                              {"hold_current"},
                              {"hose.length"},
                              {"hose.bore"},
                              {"hose.wave_speed", "hose.wall"},
                              {"tube.length"},
                              {"tube.bore"},
                              {"tube.wave_speed", "tube.wall"},
                              {"outlet.bore"},
                              {"outlet.discharge_coefficient", "outlet.length"},
                              {"jet.drop_height"},
                              {"valve.coil.resistance"},
                              {"valve.coil.inductance", "valve.coil.table"},
                              {"valve.coil.force_constant", "valve.coil.gap", "valve.coil.table"},
                              {"valve.plunger.mass"},
                              {"valve.plunger.preload"},
                              {"valve.plunger.spring_rate"},
                              {"valve.plunger.travel"},
                              {"valve.seat.diameter"}};

std::vector<Needed> missing_of(const text::Node& attachment) {
  std::vector<Needed> missing;
  const auto stated = [&](const char* key) {
    return key != nullptr && text::find_dotted(attachment, key) != nullptr;
  };
  for (const Needed& one : kNeeded)
    if (!stated(one.key) && !stated(one.or_key) && !stated(one.or_third)) missing.push_back(one);
  return missing;
}

/// The innermost table that somebody wrote on the path to the key.
const text::Node& table_of(const text::Node& attachment, const std::string& key) {
  const text::Node* at = &attachment;
  for (std::size_t dot = key.find('.'); dot != std::string::npos; dot = key.find('.', dot + 1)) {
    const text::Node* next = text::find_dotted(attachment, key.substr(0, dot));
    if (next == nullptr) break;
    at = next;
  }
  return *at;
}

std::string listed(const std::vector<Needed>& missing, std::size_t from) {
  std::string text;
  for (std::size_t k = from; k < missing.size(); ++k)
    text += (text.empty() ? "" : ", ") + std::string(missing[k].key);
  return text;
}

void refuse_gaps(const text::Node& attachment, const std::string& name,
                 const std::vector<std::string>& known) {
  const std::vector<Needed> missing = missing_of(attachment);
  if (missing.empty()) return;
  const std::string nearest = text::nearest_name(name, known);
  if (!name.empty() && 2 * missing.size() > std::size(kNeeded)) {
    std::string all;
    for (const std::string& one : known) all += (all.empty() ? "" : ", ") + one;
    text::fail(attachment.find("name")->place, "attachment.name",
               "no attachment \"" + name + "\" in the catalog (" + all +
                   "), and to be an attachment of its own this one lacks " + listed(missing, 0),
               nearest);
  }
  const Needed& first = missing.front();
  std::string words = "is missing: an attachment outside the catalog must state it";
  if (first.or_key != nullptr) words += " (or " + std::string(first.or_key) + ")";
  if (missing.size() > 1) words += ", and " + listed(missing, 1);
  if (name.empty()) words += "; to take an attachment of the catalog, state its `name`";
  text::fail(table_of(attachment, first.key).place, "attachment." + std::string(first.key), words);
}

}  // namespace

bool take_own_attachment(text::Node& document, const std::filesystem::path& folder,
                         const std::string& words) {
  text::Node* attachment = document.find("attachment");
  if (attachment == nullptr || attachment->kind != text::NodeKind::kTable) return false;
  const text::Node* stated = attachment->find("name");
  const std::string name =
      stated == nullptr ? "" : text::read_text_value(*stated, "attachment.name");
  std::vector<std::string> known;
  for (const CatalogEntry& entry : attachment_catalog(folder)) known.push_back(entry.name);
  if (std::find(known.begin(), known.end(), name) != known.end()) return false;
  text::Node whole = document;  // with the valve's file, which the loader reads again later
  lay_valve_file(whole, "attachment.valve", attachment->place.file);
  refuse_gaps(*whole.find("attachment"), name, known);
  if (stated == nullptr) attachment->put("name", text::text_node(words, attachment->place));
  return true;
}

}  // namespace sim::scenario
