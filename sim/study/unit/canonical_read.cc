#include "sim/study/unit/canonical_read.h"

#include <algorithm>
#include <charconv>
#include <map>
#include <string_view>
#include <system_error>
#include <vector>

#include "sim/scenario/sections.h"
#include "sim/text/input_error.h"

namespace sim::unit {
namespace {

using Lines = std::map<std::string, std::string>;

[[noreturn]] void refuse_line(const std::string& key, const std::string& why) {
  throw text::InputError("canonical scenario: " + key + ": " + why);
}

template <typename Number>
Number number_in(const std::string& key, std::string_view word) {
  Number value{};
  const auto [end, error] = std::from_chars(word.data(), word.data() + word.size(), value);
  if (error != std::errc() || end != word.data() + word.size())
    refuse_line(key, "`" + std::string(word) + "` is no number");
  return value;
}

std::vector<double> numbers_in(const std::string& key, std::string_view words) {
  std::vector<double> values;
  while (!words.empty()) {
    const std::size_t space = std::min(words.find(' '), words.size());
    const std::string_view word = words.substr(0, space);
    words.remove_prefix(std::min(space + 1, words.size()));
    if (word.empty() || word == "[" || word == "]") continue;
    values.push_back(number_in<double>(key, word));
  }
  return values;
}

/// Fills each described key from its line, which is then used up.
class LineReader : public text::Fields {
 public:
  explicit LineReader(Lines& lines) : lines_(lines) {}

  void begin(std::string_view name, std::string_view) override {
    prefix_ += std::string(name) + ".";
  }
  void end() override {
    prefix_.pop_back();
    prefix_.resize(prefix_.find_last_of('.') + 1);
  }
  void quantity(std::string_view key, double& value_si, text::Kind, text::Range,
                std::string_view) override {
    if (take(key)) value_si = number_in<double>(key_, value_);
  }
  void quantity_or_auto(std::string_view key, double& value_si, bool& automatic, text::Kind,
                        text::Range, std::string_view) override {
    if (!take(key)) return;
    automatic = value_ == "auto";
    if (!automatic) value_si = number_in<double>(key_, value_);
  }
  void quantities(std::string_view key, std::vector<double>& values_si, text::Kind, text::Range,
                  std::string_view) override {
    if (take(key)) values_si = numbers_in(key_, value_);
  }
  void whole_number(std::string_view key, std::int64_t& value, std::int64_t, std::int64_t,
                    std::string_view) override {
    if (take(key)) value = number_in<std::int64_t>(key_, value_);
  }
  void flag(std::string_view key, bool& value, std::string_view) override {
    if (take(key)) value = value_ == "true";
  }
  void text(std::string_view key, std::string& value, std::string_view) override {
    if (take(key)) value = value_;
  }
  void word(std::string_view key, int& index, std::span<const std::string_view> words,
            std::string_view) override {
    if (!take(key)) return;
    const auto found = std::find(words.begin(), words.end(), value_);
    if (found == words.end()) refuse_line(key_, "`" + value_ + "` is no word of this key");
    index = static_cast<int>(found - words.begin());
  }
  void special(std::string_view, std::string_view, std::string_view) override {}

 private:
  bool take(std::string_view key) {
    key_ = prefix_ + std::string(key);
    const auto line = lines_.find(key_);
    if (line == lines_.end()) return false;
    value_ = line->second;
    lines_.erase(line);
    return true;
  }

  Lines& lines_;
  std::string prefix_, key_, value_;
};

Lines lines_in(const std::string& text) {
  Lines lines;
  for (std::size_t from = 0; from < text.size();) {
    const std::size_t to = std::min(text.find('\n', from), text.size());
    const std::string line = text.substr(from, to - from);
    const std::size_t equals = line.find(" = ");
    if (equals == std::string::npos) refuse_line(line, "is no KEY = VALUE");
    if (!lines.emplace(line.substr(0, equals), line.substr(equals + 3)).second)
      refuse_line(line.substr(0, equals), "stands twice");
    from = to + 1;
  }
  return lines;
}

/// The numbered lines of a list are sorted, so they come in the order of the list.
void take_creep(Lines& lines, const std::string& key, model::Line& line) {
  for (auto it = lines.lower_bound(key + "."); it != lines.end() && it->first.starts_with(key);
       it = lines.erase(it)) {
    const std::vector<double> values = numbers_in(it->first, it->second);
    if (values.size() != 2) refuse_line(it->first, "needs compliance and time");
    line.creep.push_back({values[0], values[1]});
  }
}

}  // namespace

scenario::Scenario read_canonical(const std::string& text) {
  Lines lines = lines_in(text);
  scenario::Scenario scenario;
  LineReader reader(lines);
  scenario::describe(scenario, reader);
  take_creep(lines, "attachment.hose.creep", scenario.attachment.hose);
  take_creep(lines, "attachment.tube.creep", scenario.attachment.tube);
  if (!lines.empty()) refuse_line(lines.begin()->first, "is not taken up");
  return scenario;
}

}  // namespace sim::unit
