// Base64 against the test vectors of RFC 4648, section 10.
#include "sim/output/base64.h"

#include <gtest/gtest.h>

#include <string>

namespace {

using sim::output::base64_of;

TEST(Base64, HasTheVectorsOfItsStandard) {
  EXPECT_EQ(base64_of(""), "");
  EXPECT_EQ(base64_of("f"), "Zg==");
  EXPECT_EQ(base64_of("fo"), "Zm8=");
  EXPECT_EQ(base64_of("foo"), "Zm9v");
  EXPECT_EQ(base64_of("foobar"), "Zm9vYmFy");
  // Bytes beyond text, by hand: fb ff fe is 111110 111111 111111 111110.
  EXPECT_EQ(base64_of(std::string("\xfb\xff\xfe", 3)), "+//+");
}

}  // namespace
