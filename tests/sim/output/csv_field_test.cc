// Fields of CSV by the rules of RFC 4180, section 2.
#include "sim/output/csv_field.h"

#include <gtest/gtest.h>

namespace {

TEST(CsvField, IsQuotedWhereItMustBe) {
  EXPECT_EQ(sim::output::csv_field("a b"), "a b");
  EXPECT_EQ(sim::output::csv_field("a,b"), "\"a,b\"");
  EXPECT_EQ(sim::output::csv_field("a\"b"), "\"a\"\"b\"");
  EXPECT_EQ(sim::output::csv_field("a\nb"), "\"a\nb\"");
}

}  // namespace
