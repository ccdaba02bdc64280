#include "sim/scenario/valve_file.h"

#include <string>

#include "sim/scenario/layers.h"
#include "sim/scenario/overlay.h"
#include "sim/text/reader.h"

namespace sim::scenario {

void lay_valve_file(text::Node& document, std::string_view section,
                    const std::filesystem::path& file) {
  text::Node* parent = &document;
  if (section == "attachment.valve") parent = document.find("attachment");
  text::Node* valve =
      parent == nullptr || parent->kind != text::NodeKind::kTable ? nullptr : parent->find("valve");
  text::Node* name =
      valve == nullptr || valve->kind != text::NodeKind::kTable ? nullptr : valve->find("file");
  if (name == nullptr) return;
  const std::string key = std::string(section) + ".file";
  const text::Place stated = name->place;
  const std::filesystem::path path = path_from(stated, text::read_text_value(*name, key), file);
  std::error_code ignored;
  if (!std::filesystem::is_regular_file(path, ignored))
    text::fail(stated, key, "no such file: `" + path.string() + "`");
  text::Node below = text::read_document(path);
  static const std::string kKnown[] = {"coil", "plunger", "seat", "wear"};
  text::refuse_other_keys(below, std::string(section) + ".", kKnown);
  valve->drop("file");
  lay_over(below, *valve);
  *valve = below;
}

}  // namespace sim::scenario
