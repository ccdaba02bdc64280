// Every key of a scenario as it is described to people: a visit of a default scenario.
#include "sim/scenario/sections.h"

namespace sim::scenario {
namespace {

// Lists keys by visiting a default scenario.
class Lister : public text::Fields {
 public:
  std::vector<text::KeyHelp> keys;

  void begin(std::string_view name, std::string_view) override {
    prefix_ += std::string(name) + ".";
  }
  void end() override {
    prefix_.pop_back();
    prefix_.resize(prefix_.find_last_of('.') + 1);  // npos + 1 is 0: the top level
  }
  void quantity(std::string_view key, double& value_si, text::Kind kind, text::Range range,
                std::string_view help) override {
    const std::string_view unit = text::kind_word(kind).si_unit;
    const std::string low = range.above ? "above " : "";
    add(key, std::string(text::kind_word(kind).name), text::format_quantity(value_si, kind, unit),
        low + text::format_quantity(range.low_si, kind, unit) + " to " +
            text::format_quantity(range.high_si, kind, unit),
        help);
  }
  void quantity_or_auto(std::string_view key, double& value_si, bool& automatic, text::Kind kind,
                        text::Range range, std::string_view help) override {
    quantity(key, value_si, kind, range, help);
    keys.back().kind += " or auto";
    if (automatic) keys.back().default_value = "auto";
  }
  void quantities(std::string_view key, std::vector<double>&, text::Kind kind, text::Range,
                  std::string_view help) override {
    add(key, "list of " + std::string(text::kind_word(kind).name), "[]", "", help);
  }
  void whole_number(std::string_view key, std::int64_t& value, std::int64_t low, std::int64_t high,
                    std::string_view help) override {
    add(key, "whole number", std::to_string(value),
        std::to_string(low) + " to " + std::to_string(high), help);
  }
  void flag(std::string_view key, bool& value, std::string_view help) override {
    add(key, "true or false", value ? "true" : "false", "", help);
  }
  void text(std::string_view key, std::string& value, std::string_view help) override {
    add(key, "text", value, "", help);
  }
  void word(std::string_view key, int& index, std::span<const std::string_view> words,
            std::string_view help) override {
    std::string all;
    for (const std::string_view each : words) all += (all.empty() ? "" : " | ") + std::string(each);
    add(key, all, std::string(words[static_cast<std::size_t>(index)]), "", help);
  }
  void special(std::string_view key, std::string_view example, std::string_view help) override {
    add(key, "such as " + std::string(example), "", "", help);
  }

 private:
  void add(std::string_view key, std::string kind, std::string value, std::string range,
           std::string_view help) {
    keys.push_back({prefix_ + std::string(key), std::move(kind), std::move(value), std::move(range),
                    std::string(help)});
  }
  std::string prefix_;
};

}  // namespace

std::vector<text::KeyHelp> keys_of(const std::function<void(text::Fields&)>& visit) {
  Lister lister;
  visit(lister);
  return lister.keys;
}

std::vector<text::KeyHelp> scenario_keys() {
  Scenario defaults;
  return keys_of([&](text::Fields& fields) { describe(defaults, fields); });
}

}  // namespace sim::scenario
