#include "sim/study/tune/kept_text.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <bit>
#include <charconv>
#include <cstdint>
#include <type_traits>
#include <utility>

namespace sim::tune {
namespace {

static_assert(std::is_trivially_copyable_v<sillion_attachment_table> &&
              sizeof(sillion_attachment_table) % sizeof(std::uint32_t) == 0);
using TableWords =
    std::array<std::uint32_t, sizeof(sillion_attachment_table) / sizeof(std::uint32_t)>;

/// Writes one value after another.
class Writer {
 public:
  void real(std::string_view name, double& value) {  // tidy: unit is the member's
    text += fmt::format("{} {:016x}\n", name, std::bit_cast<std::uint64_t>(value));
  }
  template <typename Whole>
  void whole(std::string_view name, Whole& value) {
    text += fmt::format("{} {}\n", name, value);
  }
  void flag(std::string_view name, bool& value) {
    text += fmt::format("{} {}\n", name, value ? 1 : 0);
  }
  void table(std::string_view name, sillion_attachment_table& value) {
    text += fmt::format("{}{}\n", name, words_of(value));
  }

  std::string text;
};

/// Reads values in the same order; a value that is not as it was written makes the whole text bad.
class Reader {
 public:
  explicit Reader(std::string_view text) : rest_(text) {}

  void real(std::string_view name, double& value) {  // tidy: unit is the member's
    const std::string_view digits = value_of(name);
    std::uint64_t bits = 0;
    if (digits.size() != 16) good_ = false;
    take(digits, bits, 16);
    value = std::bit_cast<double>(bits);
  }
  template <typename Whole>
  void whole(std::string_view name, Whole& value) {
    take(value_of(name), value, 10);
  }
  void flag(std::string_view name, bool& value) {
    const std::string_view digit = value_of(name);
    if (digit != "0" && digit != "1") good_ = false;
    value = digit == "1";
  }
  void table(std::string_view name, sillion_attachment_table& value) {
    std::string_view words = value_of(name);
    TableWords read{};
    for (std::size_t k = 0; k < read.size(); ++k) {
      const std::size_t end = k + 1 < read.size() ? words.find(' ') : words.size();
      if (end == std::string_view::npos) good_ = false;
      take(words.substr(0, end), read[k], 10);
      words.remove_prefix(std::min(words.size(), end == std::string_view::npos ? end : end + 1));
    }
    value = std::bit_cast<sillion_attachment_table>(read);
  }
  bool whole_text_was_good() const { return good_ && rest_.empty(); }

 private:
  std::string_view value_of(std::string_view name) {
    const std::size_t end = rest_.find('\n');
    if (end == std::string_view::npos || end <= name.size() || !rest_.starts_with(name) ||
        rest_[name.size()] != ' ') {
      good_ = false;
      return {};
    }
    const std::string_view value = rest_.substr(name.size() + 1, end - name.size() - 1);
    rest_.remove_prefix(end + 1);
    return value;
  }
  template <typename Whole>
  void take(std::string_view digits, Whole& value, int base) {
    const char* end = digits.data() + digits.size();
    const auto read = std::from_chars(digits.data(), end, value, base);
    if (read.ec != std::errc{} || read.ptr != end) good_ = false;
  }

  std::string_view rest_;
  bool good_ = true;
};

/// Every member of TunedTable, in its order.
template <typename Text>
void members(Text& text, TunedTable& tuned) {
  text.table("table", tuned.table);
  text.real("delay_time_s", tuned.delay_time_s);
  text.real("delay_distance_m", tuned.delay_distance_m);
  text.real("lead_s", tuned.lead_s);
  text.real("lag_s", tuned.lag_s);
  text.real("throw_m", tuned.throw_m);
  text.real("delay_at_speed_s", tuned.delay_at_speed_s);
  text.real("smallest_offset_m", tuned.smallest_offset_m);
  text.real("shortest_closed_s", tuned.shortest_closed_s);
  text.real("flow_m3ps", tuned.flow_m3ps);
  text.real("pressure_pa", tuned.pressure_pa);
  text.real("largest_flow_m3ps", tuned.largest_flow_m3ps);
  text.flag("serves_rate", tuned.serves_rate);
  text.flag("servable", tuned.servable);
  text.flag("lift_settable", tuned.lift_settable);
  text.real("spring_rate_needed_npm", tuned.spring_rate_needed_npm);
  text.whole("step_ns", tuned.fit.step_ns);
  text.whole("hose_cells", tuned.fit.hose.whole);
  text.real("hose_part_cell_ratio", tuned.fit.hose.part_ratio);
  text.whole("tube_cells", tuned.fit.tube.whole);
  text.real("tube_part_cell_ratio", tuned.fit.tube.part_ratio);
  text.real("tube_travel_time_s", tuned.fit.tube_travel_time_s);
}

}  // namespace

std::string words_of(const sillion_attachment_table& table) {
  std::string text;
  for (const std::uint32_t word : std::bit_cast<TableWords>(table))
    text += fmt::format(" {}", word);
  return text;
}

std::string table_text(const TunedTable& tuned) {
  Writer writer;
  TunedTable copy = tuned;
  members(writer, copy);
  return std::move(writer.text);
}

std::optional<TunedTable> table_of_text(std::string_view text) {
  Reader reader(text);
  TunedTable tuned;
  members(reader, tuned);
  if (!reader.whole_text_was_good()) return std::nullopt;
  return tuned;
}

std::string trims_text(const std::vector<int>& trims_um) {
  Writer writer;
  for (int trim_um : trims_um) writer.whole("trim_um", trim_um);
  return std::move(writer.text);
}

std::optional<std::vector<int>> trims_of_text(std::string_view text, std::size_t rows) {
  Reader reader(text);
  std::vector<int> trims_um(rows, 0);
  for (int& trim_um : trims_um) reader.whole("trim_um", trim_um);
  if (!reader.whole_text_was_good()) return std::nullopt;
  return trims_um;
}

}  // namespace sim::tune
