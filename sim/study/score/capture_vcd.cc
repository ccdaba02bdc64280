// A value change dump, read from the front, a word at a time.
#include <fmt/format.h>

#include <charconv>
#include <cmath>
#include <cstdint>
#include <fstream>
#include <limits>
#include <map>
#include <optional>

#include "sim/study/score/capture_files.h"
#include "sim/study/score/pin_levels.h"
#include "sim/text/input_error.h"

namespace sim::score {
namespace {

/// Words of a file between blanks, with the line on which each stands.
class Words {
 public:
  explicit Words(const std::filesystem::path& file) : name_(file.string()), file_(file) {
    if (!file_) throw text::InputError(name_ + ": cannot be read");
  }
  bool next(std::string& word) {
    while (at_ >= text_.size()) {
      if (!std::getline(file_, text_)) return false;
      ++line_;
      bytes_ratio_ += static_cast<double>(text_.size()) + 1.0;
      at_ = 0;
      skip_blanks();
    }
    std::size_t end = at_;
    while (end < text_.size() && !is_blank(text_[end])) ++end;
    word.assign(text_, at_, end - at_);
    at_ = end;
    skip_blanks();
    return true;
  }
  std::string required(const char* where) {
    std::string word;
    if (!next(word)) fail(fmt::format("the file ends in {}", where));
    return word;
  }
  void skip_to_end(const char* where) {
    while (required(where) != "$end") {
    }
  }
  double read_bytes_ratio() const { return bytes_ratio_; }
  [[noreturn]] void fail(const std::string& what) const {
    throw text::InputError(fmt::format("{}:{}: {}", name_, line_, what));
  }

 private:
  static bool is_blank(char c) { return c == ' ' || c == '\t' || c == '\r'; }
  void skip_blanks() {
    while (at_ < text_.size() && is_blank(text_[at_])) ++at_;
  }

  std::string name_;
  std::ifstream file_;
  std::string text_;
  std::size_t at_ = 0;
  int line_ = 0;
  double bytes_ratio_ = 0.0;  // a count of bytes
};

/// Length of the dump's unit of time: `1 us`, `10ns`.
double timescale_s(Words& words) {
  std::string text;
  for (std::string word; (word = words.required("$timescale")) != "$end";) text += word;
  std::int64_t count = 0;
  const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), count);
  const std::string unit = text.substr(static_cast<std::size_t>(end - text.data()));
  static const std::map<std::string, double> kUnits{{"s", 1.0},  {"ms", 1e3},  {"us", 1e6},
                                                    {"ns", 1e9}, {"ps", 1e12}, {"fs", 1e15}};
  const auto known = kUnits.find(unit);
  if (error != std::errc() || count < 1 || known == kUnits.end())
    words.fail(fmt::format("$timescale {}: a count and one of s, ms, us, ns, ps, fs", text));
  return static_cast<double>(count) / known->second;
}

struct Header {
  double unit_s = 0.0;
  std::vector<RecordedSignal> signals;
  std::map<std::string, std::vector<std::size_t>> by_code;  // a code may stand for several names
};

/// One $var: its name as the capture's signals are called, with the innermost scope before it.
void read_variable(Words& words, const std::vector<std::string>& scopes, Header& header) {
  const std::string type = words.required("$var");
  const bool real = type == "real" || type == "realtime";
  words.required("$var");  // its width
  const std::string code = words.required("$var");
  const std::string name = words.required("$var");
  words.skip_to_end("$var");
  const bool row = !scopes.empty() && scopes.back().starts_with("row");
  header.by_code[code].push_back(header.signals.size());
  header.signals.push_back(
      {row ? scopes.back() + "." + name : name, real ? Holds::kNumbers : Holds::kLevels});
}

Header read_header(Words& words) {
  Header header;
  std::vector<std::string> scopes;
  while (true) {
    const std::string word = words.required("its header (no $enddefinitions)");
    if (word == "$enddefinitions") {
      words.skip_to_end("$enddefinitions");
      break;
    }
    if (word == "$timescale") {
      header.unit_s = timescale_s(words);
    } else if (word == "$scope") {
      words.required("$scope");
      scopes.push_back(words.required("$scope"));
      words.skip_to_end("$scope");
    } else if (word == "$upscope") {
      if (!scopes.empty()) scopes.pop_back();
      words.skip_to_end("$upscope");
    } else if (word == "$var") {
      read_variable(words, scopes, header);
    } else if (word.starts_with("$")) {
      words.skip_to_end(word.c_str());
    } else {
      words.fail(fmt::format("`{}` stands in the header; is this a value change dump?", word));
    }
  }
  if (header.unit_s <= 0.0) words.fail("the header states no $timescale");
  if (header.signals.empty()) words.fail("the header states no signal");
  return header;
}

double real_in(const Words& words, const std::string& word) {  // tidy: unit the signal's
  double value_si = 0.0;                                       // tidy: unit the signal's
  const char* end = word.data() + word.size();
  const auto [at, error] = std::from_chars(word.data() + 1, end, value_si);
  if (error != std::errc() || at != end || !std::isfinite(value_si))
    words.fail(fmt::format("`{}` is no number", word));
  return value_si;
}

/// A change of one signal: 1!, 0!, b1 !, r0.5 !. Levels other than 0 and 1 are unknown: nothing.
void read_change(Words& words, const std::string& word, const Header& header, double now_s,
                 PinLevels& levels) {
  char value = word[0];
  std::string code = word.substr(1);
  double real_si = statistics::kNone_ratio;  // tidy: unit the signal's
  if (value == 'b' || value == 'B' || value == 'r' || value == 'R') {
    const char last = word.back();
    if (value == 'r' || value == 'R') real_si = real_in(words, word);
    code = words.required("a change");
    value = value == 'b' || value == 'B' ? last : '?';
  }
  const auto known = header.by_code.find(code);
  if (known == header.by_code.end()) words.fail(fmt::format("`{}` is the code of no signal", code));
  if (!std::isnan(real_si))
    for (const std::size_t signal : known->second) levels.sample(signal, real_si, now_s);
  if (value != '0' && value != '1') return;
  for (const std::size_t signal : known->second) levels.level(signal, value == '1', now_s);
}

class VcdReader : public FileReader {
 public:
  VcdReader(const std::filesystem::path& file, const CaptureWords& asked)
      : FileReader(file), words_(file), header_(read_header(words_)) {
    levels_.emplace(file.string(), header_.signals, asked);
    while (!first_)
      if (!read_some()) words_.fail("nothing is recorded");
  }

 protected:
  bool read_some() override {
    std::string& word = word_;
    if (!words_.next(word)) return false;
    if (word[0] == '#') {
      std::int64_t next = 0;
      const char* end = word.data() + word.size();
      const auto [at, error] = std::from_chars(word.data() + 1, end, next);
      if (error != std::errc() || at != end || next < 0)
        words_.fail(fmt::format("`{}` is no instant: a whole number from 0 to {}", word,
                                std::numeric_limits<std::int64_t>::max()));
      if (first_ && next < now_)
        words_.fail(fmt::format("time runs backwards from `#{}` to `{}`", now_, word));
      if (!first_) first_ = next;
      now_ = next;
      now_s_ = static_cast<double>(now_ - *first_) * header_.unit_s;
      if (const auto mistake = too_late(now_s_)) words_.fail(*mistake);
      read_bytes_ratio_ = words_.read_bytes_ratio();
    } else if (word == "$comment") {
      words_.skip_to_end("$comment");
    } else if (word[0] != '$') {
      read_change(words_, word, header_, now_s_, *levels_);
    }
    return true;
  }
  double step_s() const override { return header_.unit_s; }

 private:
  Words words_;
  Header header_;
  std::string word_;
  std::optional<std::int64_t> first_;
  std::int64_t now_ = 0;
};

}  // namespace

std::unique_ptr<CaptureReader> open_vcd(const std::filesystem::path& file,
                                        const CaptureWords& asked) {
  return std::make_unique<VcdReader>(file, asked);
}

}  // namespace sim::score
