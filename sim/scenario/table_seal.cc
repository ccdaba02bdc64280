#include "sim/scenario/table_seal.h"

#include <algorithm>
#include <cstddef>
#include <cstring>
#include <iterator>

#include "shared/check_sum.h"

namespace sim::scenario {

std::uint32_t table_check_sum(const sillion_attachment_table& table) {
  // All members are words of 32 bits, so the struct has no gaps and the check sum is the last word.
  static_assert(sizeof(sillion_attachment_table) % 4 == 0);
  static_assert(offsetof(sillion_attachment_table, check_sum) + 4 ==
                sizeof(sillion_attachment_table));
  std::uint32_t words[sizeof(sillion_attachment_table) / 4];
  std::memcpy(words, &table, sizeof table);
  shared::CheckSum sum;
  static_assert(offsetof(sillion_attachment_table, opening_us) + sizeof table.opening_us + 4 ==
                sizeof(sillion_attachment_table));
  const bool opening = std::any_of(std::begin(table.opening_us), std::end(table.opening_us),
                                   [](std::int32_t us) { return us != 0; });
  const std::size_t words_in = (opening ? offsetof(sillion_attachment_table, check_sum)
                                        : offsetof(sillion_attachment_table, opening_us)) /
                               sizeof words[0];
  for (std::size_t k = 0; k < words_in; ++k) sum.take_word(words[k]);
  return sum.value();
}

sillion_attachment_table sealed_table(const sillion_attachment_table& table) {
  sillion_attachment_table sealed = table;
  sealed.check_sum = table_check_sum(table);
  return sealed;
}

}  // namespace sim::scenario
