#include "sim/command/outlet_options.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <charconv>
#include <cstdlib>

#include "sim/scenario/loader.h"
#include "sim/text/nearest.h"
#include "sim/text/quantity.h"

namespace sim::command {
namespace {

struct Range {
  double low_si = 0.0;
  double high_si = 0.0;
  text::Kind kind = text::Kind::kLength;
  const char* unit = "mm";
};

[[noreturn]] void refuse(const std::string& option, const std::string& what,
                         const std::string& nearest = {}) {
  throw text::InputError(option + ": " + what +
                         (nearest.empty() ? "" : "; nearest valid name: `" + nearest + "`"));
}

double read_one(const std::string& option, const std::string& text, const Range& range) {
  const text::Quantity read = text::parse_quantity(text, range.kind);
  if (!read.error.empty()) refuse(option, "\"" + text + "\": " + read.error, read.nearest);
  if (!(read.value_si >= range.low_si && read.value_si <= range.high_si))
    refuse(option, fmt::format("\"{}\" is out of range: {} to {}; nearest workable: \"{}\"", text,
                               text::format_quantity(range.low_si, range.kind, range.unit),
                               text::format_quantity(range.high_si, range.kind, range.unit),
                               text::format_quantity(
                                   read.value_si < range.low_si ? range.low_si : range.high_si,
                                   range.kind, range.unit)));
  return read.value_si;
}

std::vector<std::string> parts_of(const std::string& option, const std::string& list) {
  std::vector<std::string> parts;
  std::size_t at = 0;
  while (at <= list.size() && !list.empty()) {
    const std::size_t comma = std::min(list.find(',', at), list.size());
    const std::size_t from = std::min(list.find_first_not_of(' ', at), comma);
    std::size_t to = comma;
    while (to > from && list[to - 1] == ' ') --to;
    if (from == to) refuse(option, "an entry of the list is empty");
    parts.push_back(list.substr(from, to - from));
    at = comma + 1;
  }
  return parts;
}

// In rising order, none twice: the grid and its files do not depend on how a list was typed.
std::vector<double> read_list(const std::string& option, const std::string& list,
                              const Range& range) {
  std::vector<double> values;
  for (const std::string& part : parts_of(option, list))
    values.push_back(read_one(option, part, range));
  std::sort(values.begin(), values.end());
  values.erase(std::unique(values.begin(), values.end()), values.end());
  return values;
}

std::vector<std::string> read_walls(const std::string& option, const std::string& list) {
  const std::vector<std::string> known = outlet::wall_names();
  const std::vector<std::string> asked = parts_of(option, list);
  for (const std::string& name : asked)
    if (std::find(known.begin(), known.end(), name) == known.end()) {
      std::string all;
      for (const std::string& each : known) all += (all.empty() ? "" : ", ") + each;
      refuse(option, "no wall \"" + name + "\" (" + all + ")", text::nearest_name(name, known));
    }
  std::vector<std::string> walls;
  for (const std::string& name : known)
    if (std::find(asked.begin(), asked.end(), name) != asked.end()) walls.push_back(name);
  return walls;
}

// Openings of wire cloth: ASTM E11, mesh 18 to 325.
constexpr std::array kStrainers = {
    outlet::Strainer{18, 1.00e-3}, outlet::Strainer{20, 850e-6},  outlet::Strainer{25, 710e-6},
    outlet::Strainer{30, 600e-6},  outlet::Strainer{35, 500e-6},  outlet::Strainer{40, 425e-6},
    outlet::Strainer{45, 355e-6},  outlet::Strainer{50, 300e-6},  outlet::Strainer{60, 250e-6},
    outlet::Strainer{70, 212e-6},  outlet::Strainer{80, 180e-6},  outlet::Strainer{100, 150e-6},
    outlet::Strainer{120, 125e-6}, outlet::Strainer{140, 106e-6}, outlet::Strainer{170, 90e-6},
    outlet::Strainer{200, 75e-6},  outlet::Strainer{230, 63e-6},  outlet::Strainer{270, 53e-6},
    outlet::Strainer{325, 45e-6}};

// By count, not by spelling; empty for what is no whole number.
std::string nearest_mesh(const std::string& text) {
  int asked = 0;
  const auto [end, code] = std::from_chars(text.data(), text.data() + text.size(), asked);
  if (code != std::errc{} || end != text.data() + text.size() || asked <= 0) return {};
  const auto nearest =
      std::min_element(kStrainers.begin(), kStrainers.end(),
                       [asked](const outlet::Strainer& a, const outlet::Strainer& b) {
                         return std::abs(a.mesh - asked) < std::abs(b.mesh - asked);
                       });
  return std::to_string(nearest->mesh);
}

outlet::Strainer read_strainer(const std::string& text) {
  std::vector<std::string> names;
  for (const outlet::Strainer& each : kStrainers) {
    names.push_back(std::to_string(each.mesh));
    if (names.back() == text) return each;
  }
  std::string all;
  for (const std::string& each : names) all += (all.empty() ? "" : ", ") + each;
  refuse("--strainer", "no mesh \"" + text + "\" (" + all + ")", nearest_mesh(text));
}

}  // namespace

outlet::OutletOptions outlet_options(const OutletWords& words) {
  constexpr Range kBore{0.1e-3, 20e-3}, kTubeBore{0.5e-3, 50e-3}, kLength{0.02, 10.0};
  constexpr Range kStanding{0.0, 86'400.0, text::Kind::kTime, "s"};
  outlet::OutletOptions options;
  options.axes = {.bores_m = read_list("--bores", words.bores, kBore),
                  .tube_bores_m = read_list("--tube-bores", words.tube_bores, kTubeBore),
                  .tube_lengths_m = read_list("--tube-lengths", words.tube_lengths, kLength),
                  .hose_bores_m = read_list("--hose-bores", words.hose_bores, kTubeBore),
                  .hose_lengths_m = read_list("--hose-lengths", words.hose_lengths, kLength),
                  .tube_walls = read_walls("--walls", words.walls),
                  .hose_walls = read_walls("--hose-walls", words.hose_walls)};
  if (!words.strainer.empty()) options.strainer = read_strainer(words.strainer);
  if (!words.stop.empty()) options.assumed.stop_s = read_one("--stop", words.stop, kStanding);
  if (!words.pause.empty()) options.assumed.pause_s = read_one("--pause", words.pause, kStanding);
  return options;
}

}  // namespace sim::command
