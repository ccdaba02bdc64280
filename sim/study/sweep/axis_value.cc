#include "sim/study/sweep/axis_value.h"

#include <cctype>

#include "sim/output/number_text.h"
#include "sim/text/quantity.h"

namespace sim::sweep {
namespace {

struct Axis {
  double value_si = statistics::kNone_ratio;
  const text::KindWord* kind = nullptr;  // null: not a quantity
};

// Every unit belongs to one kind, so the kind that accepts the text is the only one.
Axis read_axis(const std::string& value) {
  for (const text::KindWord& word : text::kind_words()) {
    const text::Quantity quantity = text::parse_quantity(value, word.kind);
    if (quantity.error.empty()) return {quantity.value_si, &word};
  }
  return {};
}

// "m3/m2" -> "_m3pm2", "Pa s" -> "_pas": the suffixes of names in this project.
std::string suffix_of(std::string_view si_unit) {
  std::string suffix;
  for (const char c : si_unit) {
    if (c == ' ') continue;
    suffix += c == '/' ? 'p' : static_cast<char>(std::tolower(static_cast<unsigned char>(c)));
  }
  return suffix.empty() ? "" : "_" + suffix;
}

}  // namespace

double axis_value_si(const std::string& value) { return read_axis(value).value_si; }

std::string axis_value(const std::string& value) {
  const Axis axis = read_axis(value);
  return axis.kind == nullptr ? value : output::number_text(axis.value_si);
}

std::string axis_column(const SweepAxis& axis) {
  const Axis first = axis.values.empty() ? Axis{} : read_axis(axis.values.front());
  return first.kind == nullptr ? axis.key : axis.key + suffix_of(first.kind->si_unit);
}

double break_even_m(const SweepCell& cell) {
  const double of_summary_m = cell.summary.break_even_scatter_m;
  return of_summary_m == of_summary_m ? of_summary_m : cell.break_even_scatter_m;
}

}  // namespace sim::sweep
