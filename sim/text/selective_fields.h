// A visitor of keys that passes over every key. Whoever wants some of them derives from it and
// overrides what those need; `dotted` gives a key its whole name, such as "attachment.jet.bore".
//
// Errors   none
// Checked  tests/sim/text/selective_fields_test.cc
#pragma once

#include <string>

#include "sim/text/fields.h"

namespace sim::text {

class SelectiveFields : public Fields {
 public:
  void begin(std::string_view section, std::string_view) override {
    sections_ += std::string(section) + ".";
  }
  void end() override {
    sections_.pop_back();
    sections_.resize(sections_.find_last_of('.') + 1);  // npos + 1 is 0: the top level
  }
  void quantity(std::string_view, double&, Kind, Range, std::string_view) override {}
  void quantity_or_auto(std::string_view, double&, bool&, Kind, Range, std::string_view) override {}
  void quantities(std::string_view, std::vector<double>&, Kind, Range, std::string_view) override {}
  void whole_number(std::string_view, std::int64_t&, std::int64_t, std::int64_t,
                    std::string_view) override {}
  void flag(std::string_view, bool&, std::string_view) override {}
  void text(std::string_view, std::string&, std::string_view) override {}
  void word(std::string_view, int&, std::span<const std::string_view>, std::string_view) override {}
  void special(std::string_view, std::string_view, std::string_view) override {}

 protected:
  std::string dotted(std::string_view key) const { return sections_ + std::string(key); }

 private:
  std::string sections_;
};

}  // namespace sim::text
