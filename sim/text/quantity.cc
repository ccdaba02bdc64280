#include "sim/text/quantity.h"

#include <array>
#include <charconv>
#include <cmath>
#include <optional>
#include <vector>

#include "sim/text/nearest.h"

namespace sim::text {
namespace {

const Unit* find_unit(std::string_view name, Kind kind) {
  for (const Unit& unit : units()) {
    if (unit.kind == kind && unit.name == name) return &unit;
  }
  return nullptr;
}

const Unit* find_unit_of_any_kind(std::string_view name) {
  for (const Unit& unit : units()) {
    if (unit.name == name) return &unit;
  }
  return nullptr;
}

bool is_blank(char c) { return c == ' ' || c == '\t'; }

std::string_view trimmed(std::string_view text) {
  while (!text.empty() && is_blank(text.front())) text.remove_prefix(1);
  while (!text.empty() && is_blank(text.back())) text.remove_suffix(1);
  return text;
}

// Characters of keyboards and word processors, and the plain letters that the table has for them.
std::string plain_unit(std::string_view text) {
  static constexpr std::pair<std::string_view, std::string_view> kSigns[] = {
      {"\xC2\xB5", "u"},   {"\xCE\xBC", "u"},       {"\xC2\xB0", ""},
      {"\xCE\xA9", "ohm"}, {"\xE2\x84\xA6", "ohm"}, {"\xC2\xB2", "2"},
      {"\xC2\xB3", "3"},   {"\xC2\xB7", " "},       {"\xC2\xA0", " "},
  };
  std::string plain;
  for (std::size_t at = 0; at < text.size();) {
    bool found = false;
    for (const auto& [sign, letters] : kSigns) {
      if (text.substr(at, sign.size()) == sign) {
        plain += letters;
        at += sign.size();
        found = true;
        break;
      }
    }
    if (!found) plain += text[at++];
  }
  std::string single;  // each run of blanks becomes one
  for (const char c : plain) {
    if (!is_blank(c))
      single += c;
    else if (!single.empty() && single.back() != ' ')
      single += ' ';
  }
  return std::string(trimmed(single));
}

// Length of the decimal number at the start: sign, digits, point, exponent. 0 when there is none.
std::size_t number_length(std::string_view text) {
  const auto digit = [&](std::size_t at) {
    return at < text.size() && text[at] >= '0' && text[at] <= '9';
  };
  std::size_t at = 0;
  if (at < text.size() && (text[at] == '+' || text[at] == '-')) ++at;
  std::size_t digits = 0;
  while (digit(at)) ++at, ++digits;
  if (at < text.size() && text[at] == '.') {
    ++at;
    while (digit(at)) ++at, ++digits;
  }
  if (digits == 0) return 0;
  if (at < text.size() && (text[at] == 'e' || text[at] == 'E')) {
    std::size_t after = at + 1;
    if (after < text.size() && (text[after] == '+' || text[after] == '-')) ++after;
    if (digit(after)) {
      while (digit(after)) ++after;
      at = after;
    }
  }
  return at;
}

// The number times 10^shift, read once from its digits so that there is no second rounding.
std::optional<double> shifted_number(std::string_view text, int shift) {
  if (text.front() == '+') text.remove_prefix(1);
  const std::size_t mark = text.find_first_of("eE");
  int exponent = 0;
  if (mark != std::string_view::npos) {
    std::string_view written = text.substr(mark + 1);
    if (written.front() == '+') written.remove_prefix(1);
    const auto [end, code] =
        std::from_chars(written.data(), written.data() + written.size(), exponent);
    if (code != std::errc{} || exponent > 400 || exponent < -400) return std::nullopt;
    text = text.substr(0, mark);
  }
  const std::string moved = std::string(text) + "e" + std::to_string(exponent + shift);
  double value_si = 0.0;
  const auto [end, code] = std::from_chars(moved.data(), moved.data() + moved.size(), value_si);
  if (code != std::errc{} || end != moved.data() + moved.size() || !std::isfinite(value_si))
    return std::nullopt;
  return value_si;
}

double power_of_ten_ratio(int exponent) {
  double power_ratio = 1.0;
  for (int i = 0; i < (exponent < 0 ? -exponent : exponent); ++i) power_ratio *= 10.0;
  return power_ratio;
}

std::string in_quotes(std::string_view text) { return "\"" + std::string(text) + "\""; }

Quantity mistake(std::string error, std::string nearest = {}) {
  return {0.0, {}, std::move(error), std::move(nearest)};
}

Quantity unknown_unit(std::string_view text, const std::string& name, Kind kind) {
  const KindWord& word = kind_word(kind);
  if (const Unit* other = find_unit_of_any_kind(name)) {
    return mistake(in_quotes(text) + " is a " + std::string(kind_word(other->kind).name) + ", a " +
                   std::string(word.name) + " is wanted (units: " + unit_names(kind) + ")");
  }
  std::vector<std::string> names;
  for (const Unit& unit : units()) {
    if (unit.kind == kind) names.emplace_back(unit.name);
  }
  return mistake("unknown unit " + in_quotes(name) + " in " + in_quotes(text) + ", a " +
                     std::string(word.name) + " is wanted (units: " + unit_names(kind) + ")",
                 nearest_name(name, names));
}

}  // namespace

Quantity parse_quantity(std::string_view text, Kind kind) {
  const std::string_view whole = trimmed(text);
  const std::size_t length = number_length(whole);
  if (length == 0) {
    return mistake(in_quotes(text) + " is not a " + std::string(kind_word(kind).name) +
                   ": write a finite number and a unit, such as " +
                   in_quotes(kind_word(kind).example));
  }
  const std::string_view number = whole.substr(0, length);
  const std::string name = plain_unit(whole.substr(length));
  static constexpr Unit kPlain{"", Kind::kRatio};
  const Unit* unit = name.empty() && kind == Kind::kRatio ? &kPlain : find_unit(name, kind);
  if (unit == nullptr && name.empty()) {
    return mistake(in_quotes(text) + " has no unit: write for example " +
                   in_quotes(kind_word(kind).example) + " (units: " + unit_names(kind) + ")");
  }
  if (unit == nullptr) return unknown_unit(text, name, kind);
  const std::optional<double> shifted = shifted_number(number, unit->exponent10);
  if (!shifted) return mistake(in_quotes(text) + " is not a finite number that a double can hold");
  const double value_si =
      (*shifted + unit->before_si) * unit->multiplier_ratio / unit->divisor_ratio;
  if (!std::isfinite(value_si))
    return mistake(in_quotes(text) + " is not a finite number that a double can hold");
  return {value_si, std::string(unit->name), {}, {}};
}

std::string shortest_text(double value_si) {
  std::array<char, 32> text;
  const auto result = std::to_chars(text.data(), text.data() + text.size(), value_si);
  return {text.data(), result.ptr};
}

std::string format_quantity(double value_si, Kind kind, std::string_view unit, int digits) {
  const Unit* found = find_unit(unit, kind);
  if (found == nullptr) found = find_unit(kind_word(kind).si_unit, kind);
  double number_si = value_si;
  std::string_view name;
  if (found != nullptr) {
    number_si = value_si * found->divisor_ratio / found->multiplier_ratio - found->before_si;
    const double power_ratio = power_of_ten_ratio(found->exponent10);
    number_si = found->exponent10 < 0 ? number_si * power_ratio : number_si / power_ratio;
    name = found->name;
  }
  std::array<char, 64> text;
  const auto result = std::to_chars(text.data(), text.data() + text.size(), number_si,
                                    std::chars_format::general, digits);
  std::string out(text.data(), result.ptr);
  if (!name.empty()) out += " " + std::string(name);
  return out;
}

}  // namespace sim::text
