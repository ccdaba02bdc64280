#include "sim/text/selective_fields.h"

#include <gtest/gtest.h>

namespace {

using sim::text::Kind;
using sim::text::Range;

void describe(sim::text::Fields& fields, double& value_si, bool& on) {
  bool automatic = false;
  std::vector<double> several_si = {3.0};
  std::int64_t count = 4;
  std::string words = "as it was";
  int index = 1;
  constexpr std::string_view kWords[] = {"one", "other"};
  fields.quantity("top", value_si, Kind::kLength, {}, "");
  fields.begin("outer", "");
  fields.begin("inner", "");
  fields.quantity("depth", value_si, Kind::kLength, {}, "");
  fields.end();
  fields.quantity("width", value_si, Kind::kLength, {}, "");
  fields.quantity_or_auto("step", value_si, automatic, Kind::kTime, {}, "");
  fields.quantities("lengths", several_si, Kind::kLength, {}, "");
  fields.whole("rows", count, 1, 9, "");
  fields.flag("on", on, "");
  fields.text("note", words, "");
  fields.choice("kind", index, kWords, "");
  fields.special("list", "", "");
  fields.end();
  fields.quantity("end", value_si, Kind::kLength, {}, "");
  EXPECT_EQ(several_si, std::vector<double>{3.0});
  EXPECT_EQ(count, 4);
  EXPECT_EQ(words, "as it was");
  EXPECT_EQ(index, 1);
  EXPECT_FALSE(automatic);
}

class Names : public sim::text::SelectiveFields {
 public:
  std::vector<std::string> names;
  void quantity(std::string_view key, double& value_si, Kind, Range, std::string_view) override {
    names.push_back(dotted(key));
    value_si += 1.0;
  }
};

TEST(SelectiveFields, GivesWhatIsAskedForItsWholeNameAndChangesNothingElse) {
  double value_si = 0.0;
  bool on = true;
  Names names;
  describe(names, value_si, on);
  EXPECT_EQ(names.names,
            (std::vector<std::string>{"top", "outer.inner.depth", "outer.width", "end"}));
  EXPECT_EQ(value_si, 4.0);
  EXPECT_TRUE(on);
  sim::text::SelectiveFields nothing;
  describe(nothing, value_si, on);
  EXPECT_EQ(value_si, 4.0);
}

}  // namespace
