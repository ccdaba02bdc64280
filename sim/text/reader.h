// Fills fields from a document and refuses unknown keys, with file, line, key and the nearest valid
// name.
//
// Errors   InputError on unknown key, wrong type, missing or wrong unit, value out of range
// Checked  tests/sim/scenario/loader_test.cc, tests/hostile/input_test.cc
#pragma once

#include <map>
#include <string>
#include <vector>

#include "sim/text/document.h"
#include "sim/text/fields.h"

namespace sim::text {

/// Where each dotted key was stated last; the checks name these places.
using Places = std::map<std::string, Place>;

class Reader : public Fields {
 public:
  /// prefix: dotted name of the node itself ("" for a scenario, "attachment." for a part of it).
  Reader(const Node& root, std::string prefix, Places& places);
  void finish();  // refuses unknown keys of the root
  /// All keys of this kind of file, for the nearest name of an unknown key; called only then.
  /// Without it only the keys of the section itself are compared.
  using KeyPool = std::vector<KeyHelp> (*)();
  void name_keys_of(KeyPool keys) { pool_ = keys; }

  void begin(std::string_view section, std::string_view help) override;
  void end() override;
  void quantity(std::string_view key, double& value_si, Kind kind, Range range,
                std::string_view help) override;
  void quantity_or_auto(std::string_view key, double& value_si, bool& automatic, Kind kind,
                        Range range, std::string_view help) override;
  void quantities(std::string_view key, std::vector<double>& values_si, Kind kind, Range range,
                  std::string_view help) override;
  void whole_number(std::string_view key, std::int64_t& value, std::int64_t low, std::int64_t high,
                    std::string_view help) override;
  void flag(std::string_view key, bool& value, std::string_view help) override;
  void text(std::string_view key, std::string& value, std::string_view help) override;
  void word(std::string_view key, int& index, std::span<const std::string_view> words,
            std::string_view help) override;
  void special(std::string_view key, std::string_view example, std::string_view help) override;

 private:
  struct Level {
    const Node* node = nullptr;  // null: the section was not stated
    std::string prefix;
    std::vector<std::string> known;
  };
  const Node* take(std::string_view key);
  std::string dotted(std::string_view key) const;
  void refuse_unknown(const Level& level) const;

  std::vector<Level> levels_;
  Places& places_;
  KeyPool pool_ = nullptr;
};

/// One quantity from a node, checked against its range: for lists and for keys that the loader
/// itself reads.
double read_quantity_si(const Node& node, std::string_view key, Kind kind, Range range);
const std::string& read_text_value(const Node& node, std::string_view key);
std::int64_t read_whole(const Node& node, std::string_view key, std::int64_t low,
                        std::int64_t high);
/// Index of the word that equals the text value; any other value is refused with the nearest word.
int read_word(const Node& node, std::string_view key, std::span<const std::string_view> words);
/// Refuses keys of a table that are not in `known`.
void refuse_other_keys(const Node& table, std::string_view prefix,
                       std::span<const std::string> known);

}  // namespace sim::text
