#include "sim/scenario/table_seal.h"

#include <cstddef>
#include <cstring>

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
  for (std::size_t k = 0; k + 1 < sizeof(words) / 4; ++k) sum.take_word(words[k]);
  return sum.value();
}

sillion_attachment_table sealed_table(const sillion_attachment_table& table) {
  sillion_attachment_table sealed = table;
  sealed.check_sum = table_check_sum(table);
  return sealed;
}

}  // namespace sim::scenario
