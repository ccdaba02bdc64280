#include "sim/scenario/work_keys.h"

#include <string>

#include "sim/text/reader.h"

namespace sim {
namespace {

std::vector<int> read_rows(const Node& table, const std::string& prefix, int row_count) {
  const Node* rows = table.find("rows");
  if (rows == nullptr) fail(table.place, prefix + "rows", "is missing");
  if (rows->kind != NodeKind::kArray || rows->items.empty())
    fail(rows->place, prefix + "rows", "must be a list of row numbers, at least one");
  std::vector<int> numbers;
  for (const Node& row : rows->items)
    numbers.push_back(static_cast<int>(read_whole(
        row, prefix + "rows[" + std::to_string(numbers.size()) + "]", 0, row_count - 1)));
  return numbers;
}

}  // namespace

std::vector<RowsOff> read_row_off(const Node& document, int row_count) {
  static const std::string kKnown[] = {"rows", "from", "until"};
  std::vector<RowsOff> off;
  const Node* list = find_dotted(document, "work.row_off");
  if (list == nullptr) return off;
  if (list->kind != NodeKind::kArray)
    fail(list->place, "work.row_off", "must be a list of tables {rows = [0], from = \"3 s\"}");
  for (const Node& item : list->items) {
    const std::string prefix = "work.row_off[" + std::to_string(off.size()) + "].";
    if (item.kind != NodeKind::kTable)
      fail(item.place, "work.row_off", "each item is a table {rows = [0], from = \"3 s\"}");
    refuse_other_keys(item, prefix, kKnown);
    RowsOff one{.rows = read_rows(item, prefix, row_count)};
    if (const Node* from = item.find("from"))
      one.from_s = read_quantity_si(*from, prefix + "from", Kind::kTime, {0.0, 1e9});
    if (const Node* until = item.find("until"))
      one.until_s = read_quantity_si(*until, prefix + "until", Kind::kTime, {0.0, 1e9});
    if (one.until_s <= one.from_s)
      fail(item.place, prefix + "until", "is not after `from`, so the rows are never off");
    off.push_back(std::move(one));
  }
  return off;
}

}  // namespace sim
