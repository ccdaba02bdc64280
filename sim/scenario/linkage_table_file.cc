#include "sim/scenario/linkage_table_file.h"

#include <algorithm>
#include <cmath>
#include <vector>

#include "model/valve/flux_table.h"
#include "sim/scenario/layers.h"
#include "sim/text/csv_table.h"
#include "sim/text/reader.h"

namespace sim::scenario {
namespace {

constexpr std::size_t kMostAxis = 200;  // of lifts, and of currents: a step walks all currents
constexpr std::size_t kLift = 0, kCurrent = 1, kLinkage = 2, kInductance = 3;

std::string mm(double length_m) {
  return "\"" + text::format_quantity(length_m, text::Kind::kLength, "mm") + "\"";
}
std::string ampere(double current_a) {
  return "\"" + text::format_quantity(current_a, text::Kind::kCurrent, "A") + "\"";
}
std::string mwb(double linkage_vs) {
  return "\"" + text::format_quantity(linkage_vs, text::Kind::kFluxLinkage, "mWb") + "\"";
}

class TableFile {
 public:
  TableFile(const std::filesystem::path& file, std::string key)
      : file_(file.string()), key_(std::move(key)), lines_(read(file)) {}

  model::LinkageTable table() {
    take_axes();
    take_points();
    refuse_falls();
    const model::LinkageTable table{
        .lift_m = lift_m_, .current_a = current_a_, .linkage_vs = linkage_vs_};
    refuse_pushes(table);
    return table;
  }

 private:
  static std::vector<text::CsvLine> read(const std::filesystem::path& file) {
    static const std::vector<text::CsvColumn> kColumns = {
        {.name = "lift", .kind = text::Kind::kLength, .most_si = 0.1},
        {.name = "current", .kind = text::Kind::kCurrent, .most_si = 1e3},
        {.name = "linkage", .kind = text::Kind::kFluxLinkage, .required = false, .most_si = 100.0},
        {.name = "inductance",
         .kind = text::Kind::kInductance,
         .required = false,
         .most_si = 100.0}};
    return text::read_csv(file, kColumns);
  }

  [[noreturn]] void wrong(int line, const std::string& message) const {
    text::fail({file_, line, {}}, key_, message);
  }

  static void put_in_order(std::vector<double>& axis) {
    std::sort(axis.begin(), axis.end());
    axis.erase(std::unique(axis.begin(), axis.end()), axis.end());
  }

  void take_axes() {
    for (const text::CsvLine& line : lines_) {
      lift_m_.push_back(line.values_si[kLift]);
      current_a_.push_back(line.values_si[kCurrent]);
    }
    put_in_order(lift_m_);
    put_in_order(current_a_);
    if (lift_m_.size() < 2)
      wrong(0, "has one lift; needs 2 or more, because the pull is how the linkage grows with it");
    if (current_a_.size() < 3)
      wrong(0, "has " + std::to_string(current_a_.size()) + " currents; needs 3 or more");
    if (lift_m_.size() > kMostAxis || current_a_.size() > kMostAxis)
      wrong(0, "has " + std::to_string(lift_m_.size()) + " lifts and " +
                   std::to_string(current_a_.size()) + " currents, at most " +
                   std::to_string(kMostAxis) + " of each: thin them out");
    if (current_a_.front() > 0.0) current_a_.insert(current_a_.begin(), 0.0);
  }

  std::size_t index_of(double lift_m, double current_a) const {
    const auto at = [](const std::vector<double>& axis, double value) {
      return static_cast<std::size_t>(std::lower_bound(axis.begin(), axis.end(), value) -
                                      axis.begin());
    };
    return at(lift_m_, lift_m) * current_a_.size() + at(current_a_, current_a);
  }

  double linkage_of_vs(const text::CsvLine& line) const {
    const double linkage_vs = line.values_si[kLinkage];
    const double inductance_h = line.values_si[kInductance];
    if (std::isnan(linkage_vs) && std::isnan(inductance_h))
      wrong(line.line, "has no column of linkage: add `linkage [mWb]` or `inductance [mH]`");
    if (!std::isnan(linkage_vs) && !std::isnan(inductance_h))
      wrong(line.line, "has both linkage and inductance: take one column out");
    const double current_a = line.values_si[kCurrent];
    const double value_vs = std::isnan(linkage_vs) ? inductance_h * current_a : linkage_vs;
    if (!(current_a > 0.0) && value_vs > 0.0)
      wrong(line.line, mwb(value_vs) +
                           " without current is a remanence, which a table cannot have: subtract "
                           "it from all linkages of this lift");
    return value_vs;
  }

  void take_points() {
    const std::size_t count = lift_m_.size() * current_a_.size();
    linkage_vs_.assign(count, 0.0);
    line_.assign(count, 0);
    for (const text::CsvLine& line : lines_) {
      const std::size_t at = index_of(line.values_si[kLift], line.values_si[kCurrent]);
      if (line_[at] != 0)
        wrong(line.line, "states a lift and a current again that line " +
                             std::to_string(line_[at]) + " has: take one of them out");
      line_[at] = line.line;
      linkage_vs_[at] = linkage_of_vs(line);
    }
    for (std::size_t k = 0; k < lift_m_.size(); ++k)
      for (std::size_t l = 1; l < current_a_.size(); ++l)
        if (line_[k * current_a_.size() + l] == 0)
          wrong(first_line(k), "the lift of " + mm(lift_m_[k]) + " has no line with " +
                                   ampere(current_a_[l]) +
                                   ": every lift needs every current of the file");
  }

  int first_line(std::size_t lift) const {
    for (std::size_t l = 0; l < current_a_.size(); ++l)
      if (line_[lift * current_a_.size() + l] != 0) return line_[lift * current_a_.size() + l];
    return 0;
  }

  void refuse_falls() const {
    const std::size_t currents = current_a_.size();
    for (std::size_t k = 0; k < lift_m_.size(); ++k)
      for (std::size_t l = 1; l < currents; ++l) {
        const std::size_t at = k * currents + l;
        if (!(linkage_vs_[at] > linkage_vs_[at - 1]))
          wrong(line_[at], mwb(linkage_vs_[at]) + " at " + ampere(current_a_[l]) +
                               " is not above the " + mwb(linkage_vs_[at - 1]) + " at " +
                               ampere(current_a_[l - 1]) +
                               ": linkage must rise with the current, or the winding would give "
                               "back more energy than it stores; measure again or smooth");
        if (k > 0 && linkage_vs_[at] < linkage_vs_[at - currents])
          wrong(line_[at], mwb(linkage_vs_[at]) + " is below the " +
                               mwb(linkage_vs_[at - currents]) + " at a lift of " +
                               mm(lift_m_[k - 1]) +
                               ": linkage must not fall as the gap closes, or the magnet would "
                               "push the plunger back; measure again or smooth");
      }
  }

  /// Between its lifts too, on a raster: the coenergy must not fall as the gap closes.
  void refuse_pushes(const model::LinkageTable& table) const {
    constexpr int kParts = 16;
    const model::FluxTablePlan plan = model::make_flux_table_plan(table);
    for (std::size_t k = 0; k + 1 < lift_m_.size(); ++k)
      for (std::size_t l = 1; l < current_a_.size(); ++l)
        for (int part = 0; part <= kParts; ++part) {
          const double lift_m = lift_m_[k] + (lift_m_[k + 1] - lift_m_[k]) * part / kParts;
          const model::FluxPoint<double> at = model::flux_of_current(plan, current_a_[l], lift_m);
          if (at.force_n < -1e-9)
            wrong(line_[k * current_a_.size() + l],
                  "the pull between " + mm(lift_m_[k]) + " and " + mm(lift_m_[k + 1]) + " is \"" +
                      text::format_quantity(at.force_n, text::Kind::kForce, "N", 3) + "\" at " +
                      ampere(current_a_[l]) +
                      ": the magnet would push the plunger back; measure lifts in between");
        }
  }

  std::string file_;
  std::string key_;
  std::vector<text::CsvLine> lines_;
  std::vector<double> lift_m_, current_a_, linkage_vs_;
  std::vector<int> line_;  // of the file, per point; 0: none
};

}  // namespace

model::LinkageTable read_linkage_table(const std::filesystem::path& file, const std::string& key) {
  return TableFile(file, key).table();
}

void take_linkage_table(const text::Node& holder, const std::string& prefix,
                        const std::filesystem::path& fallback, model::Coil& coil) {
  const text::Node* name = text::find_dotted(holder, "valve.coil.table");
  if (name == nullptr) return;
  const std::string key = prefix + "valve.coil.table";
  const std::filesystem::path path =
      path_from(name->place, text::read_text_value(*name, key), fallback);
  std::error_code ignored;
  if (!std::filesystem::is_regular_file(path, ignored))
    text::fail(name->place, key, "no such file: `" + path.string() + "`");
  coil.table = read_linkage_table(path, key);
}

}  // namespace sim::scenario
