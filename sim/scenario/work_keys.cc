#include "sim/scenario/work_keys.h"

#include <string>

#include "sim/text/reader.h"

namespace sim::scenario {
namespace {

std::vector<int> read_row_list(const text::Node& table, const std::string& prefix, int row_count) {
  const text::Node* rows = table.find("rows");
  if (rows == nullptr) text::fail(table.place, prefix + "rows", "is missing");
  if (rows->kind != text::NodeKind::kArray || rows->items.empty())
    text::fail(rows->place, prefix + "rows", "must be a list of row numbers, at least one");
  std::vector<int> numbers;
  for (const text::Node& row : rows->items)
    numbers.push_back(static_cast<int>(text::read_whole(
        row, prefix + "rows[" + std::to_string(numbers.size()) + "]", 0, row_count - 1)));
  return numbers;
}

}  // namespace

std::vector<RowsOff> read_row_off(const text::Node& document, int row_count) {
  static const std::string kKnown[] = {"rows", "from", "until"};
  std::vector<RowsOff> off;
  const text::Node* list = text::find_dotted(document, "work.row_off");
  if (list == nullptr) return off;
  if (list->kind != text::NodeKind::kArray)
    text::fail(list->place, "work.row_off",
               "must be a list of tables {rows = [0], from = \"3 s\"}");
  for (const text::Node& item : list->items) {
    const std::string prefix = "work.row_off[" + std::to_string(off.size()) + "].";
    if (item.kind != text::NodeKind::kTable)
      text::fail(item.place, "work.row_off", "each item is a table {rows = [0], from = \"3 s\"}");
    text::refuse_other_keys(item, prefix, kKnown);
    RowsOff one{.rows = read_row_list(item, prefix, row_count)};
    if (const text::Node* from = item.find("from"))
      one.from_s = text::read_quantity_si(*from, prefix + "from", text::Kind::kTime, {0.0, 1e9});
    if (const text::Node* until = item.find("until"))
      one.until_s = text::read_quantity_si(*until, prefix + "until", text::Kind::kTime, {0.0, 1e9});
    if (one.until_s <= one.from_s)
      text::fail(item.place, prefix + "until", "is not after `from`, so the rows are never off");
    off.push_back(std::move(one));
  }
  return off;
}

}  // namespace sim::scenario
