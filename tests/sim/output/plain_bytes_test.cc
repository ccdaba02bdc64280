// Plain structures come back from their bytes as they were; bytes that are too few, too many, or
// claim a longer list than they hold are damaged.
#include "sim/output/plain_bytes.h"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>

namespace sim::output {
namespace {

struct Odd {
  bool flag = false;
  double value = 0.0;
};

TEST(PlainBytes, ComeBackToTheBit) {
  PlainWriter out;
  out.put(Odd{true, -0.0});
  out.put_list(std::vector<double>{std::numeric_limits<double>::quiet_NaN(), INFINITY, 0.1});
  out.put_list(std::vector<int>{});
  PlainReader in(out.bytes);
  Odd odd;
  std::vector<double> list;
  std::vector<int> none = {1};
  in.get(odd);
  in.get_list(list);
  in.get_list(none);
  in.end();
  EXPECT_TRUE(odd.flag);
  EXPECT_TRUE(std::signbit(odd.value));
  ASSERT_EQ(list.size(), 3u);
  EXPECT_TRUE(std::isnan(list[0]));
  EXPECT_TRUE(std::isinf(list[1]));
  EXPECT_EQ(list[2], 0.1);
  EXPECT_TRUE(none.empty());
}

TEST(PlainBytes, ThatAreCutOrToldTooLongAreDamaged) {
  PlainWriter out;
  out.put_list(std::vector<int>{1, 2, 3});
  const auto read = [](const std::string& bytes) {
    PlainReader in(bytes);
    std::vector<int> list;
    in.get_list(list);
    in.end();
  };
  EXPECT_NO_THROW(read(out.bytes));
  for (std::size_t size = 0; size < out.bytes.size(); ++size)
    EXPECT_THROW(read(out.bytes.substr(0, size)), Damaged) << size;
  EXPECT_THROW(read(out.bytes + "x"), Damaged);
  std::string endless = out.bytes;
  endless[7] = '\x7f';
  EXPECT_THROW(read(endless), Damaged);
}

}  // namespace
}  // namespace sim::output
