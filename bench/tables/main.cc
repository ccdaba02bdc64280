// `sillion_tables NAME...`: prints tables of model/README.md anew. Each takes minutes.
#include <algorithm>
#include <array>
#include <cstdio>
#include <string_view>

#include "bench/tables/tables.h"

namespace {

struct Table {
  std::string_view name;
  void (*print)();
};

constexpr std::array kTables{
    Table{"effects", bench::print_effects}, Table{"forms", bench::print_forms},
    Table{"neighbours", bench::print_neighbours}, Table{"steps", bench::print_steps}};

const Table* table_of(std::string_view name) {
  const auto* found = std::ranges::find(kTables, name, &Table::name);
  return found == kTables.end() ? nullptr : found;
}

}  // namespace

int main(int argc, char** argv) {
  bool known = argc > 1;
  for (int k = 1; k < argc; ++k) known = known && table_of(argv[k]) != nullptr;
  if (!known) {
    std::fputs("usage: sillion_tables effects|forms|neighbours|steps...\n", stderr);
    return 2;
  }
  for (int k = 1; k < argc; ++k) table_of(argv[k])->print();
  return 0;
}
