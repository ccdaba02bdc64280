#include "sim/text/beyond_ascii.h"

namespace sim::text {
namespace {

bool beyond(char c) { return static_cast<unsigned char>(c) >= 0x80; }

/// What stands before a key or a value.
constexpr std::string_view kBefore = "\n=[{,.";

bool blank(char c) { return c == ' ' || c == '\t' || c == '\r' || c == '\n'; }

class Scan {
 public:
  explicit Scan(std::string_view toml) : toml_(toml) {}

  int line() {
    // Whether a key or a value may begin here: a quote within a bare one begins no text.
    bool begins = true;
    while (at_ < toml_.size()) {
      const char c = toml_[at_];
      if (beyond(c)) return line_;
      if (c == '#') {
        skip_comment();
      } else if (begins && (c == '"' || c == '\'')) {
        if (!skip_text(c)) return line_;
        begins = false;
      } else {
        begins = kBefore.find(c) != std::string_view::npos || (begins && blank(c));
        step();
      }
    }
    return 0;
  }

 private:
  void step() {
    if (toml_[at_] == '\n') ++line_;
    ++at_;
  }
  void step(std::size_t count) {
    for (std::size_t k = 0; k < count && at_ < toml_.size(); ++k) step();
  }
  bool stands(std::string_view what) const { return toml_.substr(at_).starts_with(what); }

  void skip_comment() {
    while (at_ < toml_.size() && toml_[at_] != '\n') ++at_;
  }

  /// False where a line's end, or the character beyond ASCII itself, stands behind a backslash.
  bool skip_text(char quote) {
    const std::string_view three = quote == '"' ? R"(""")" : "'''";
    const bool of_several_lines = stands(three);
    const std::string_view end = of_several_lines ? three : three.substr(0, 1);
    step(end.size());
    while (at_ < toml_.size() && !stands(end)) {
      if (!of_several_lines && toml_[at_] == '\n') return true;  // it does not close
      if (quote == '"' && toml_[at_] == '\\') {
        step(1);
        if (of_several_lines) {
          const bool ends_line = at_ < toml_.size() && blank(toml_[at_]);
          while (at_ < toml_.size() && blank(toml_[at_])) step();
          if (at_ < toml_.size() && beyond(toml_[at_])) return false;
          if (ends_line) continue;
        }
      }
      step(1);
    }
    step(end.size());
    return true;
  }

  std::string_view toml_;
  std::size_t at_ = 0;
  int line_ = 1;
};

}  // namespace

int line_beyond_ascii(std::string_view toml) { return Scan(toml).line(); }

}  // namespace sim::text
