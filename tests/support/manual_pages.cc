#include "tests/support/manual_pages.h"

#include <algorithm>
#include <cctype>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <regex>

namespace support {
namespace {

constexpr std::string_view kSkip = "...";

std::vector<std::string> lines_of(std::string_view text) {
  std::vector<std::string> lines;
  while (!text.empty()) {
    const std::size_t end = std::min(text.find('\n'), text.size());
    lines.emplace_back(text.substr(0, end));
    text.remove_prefix(std::min(end + 1, text.size()));
  }
  return lines;
}

/// One command line split as a shell does it, as far as the manual needs: quotes, comments, `&&`,
/// `<` and $PWD.
class ShellLine {
 public:
  explicit ShellLine(std::string_view text) : text_(text) {}

  std::vector<Example> commands() {
    while (at_ < text_.size()) step();
    end_word();
    end_command();
    return std::move(commands_);
  }

 private:
  void step() {
    const char c = text_[at_];
    if (quote_ != 0) {
      if (c == quote_) quote_ = 0;
      if (c != quote_ && quote_ != 0)
        take();
      else
        ++at_;
      return;
    }
    if (c == '\'' || c == '"') {
      quote_ = c;
      in_word_ = true;
      ++at_;
    } else if (c == '#' && !in_word_) {
      at_ = text_.size();
    } else if (text_.substr(at_, 2) == "&&") {
      end_word();
      end_command();
      at_ += 2;
    } else if (c == '<') {
      end_word();
      reads_next_ = true;
      ++at_;
    } else if (c == ' ') {
      end_word();
      ++at_;
    } else {
      take();
    }
  }
  void take() {
    in_word_ = true;
    constexpr std::string_view kHere = "$PWD";
    if (quote_ != '\'' && text_.substr(at_, kHere.size()) == kHere) {
      word_ += SILLION_SOURCE_DIR;
      at_ += kHere.size();
    } else {
      word_ += text_[at_++];
    }
  }
  void end_word() {
    if (in_word_ && reads_next_) now_.reads = word_;
    if (in_word_ && !reads_next_) now_.words.push_back(word_);
    if (in_word_) reads_next_ = false;
    word_.clear();
    in_word_ = false;
  }
  void end_command() {
    if (!now_.words.empty()) commands_.push_back(now_);
    now_ = {};
  }

  std::string_view text_;
  std::size_t at_ = 0;
  char quote_ = 0;
  bool in_word_ = false, reads_next_ = false;
  std::string word_;
  Example now_;
  std::vector<Example> commands_;
};

void add_commands(const std::string& line, const std::string& place, std::vector<Example>& all) {
  for (Example& one : ShellLine(line).commands()) {
    one.place = place;
    one.command = line;
    all.push_back(std::move(one));
  }
}

bool agrees(const std::string& shown, const std::string& printed) {
  const std::string cut = " " + std::string(kSkip);
  if (shown.ends_with(cut)) return printed.starts_with(shown.substr(0, shown.size() - cut.size()));
  return shown == printed;
}

std::vector<std::string> all_matches(const std::string& text, const std::regex& what) {
  std::vector<std::string> found;
  for (auto at = std::sregex_iterator(text.begin(), text.end(), what); at != std::sregex_iterator();
       ++at)
    found.push_back((*at)[1]);
  return found;
}

}  // namespace

std::vector<std::string> manual_pages() {
  std::vector<std::string> pages;
  for (const auto& entry :
       std::filesystem::directory_iterator(SILLION_SOURCE_DIR "/scenarios/manual"))
    if (entry.path().extension() == ".md")
      pages.push_back("scenarios/manual/" + entry.path().filename().string());
  std::sort(pages.begin(), pages.end());
  pages.insert(pages.begin(), "README.md");
  return pages;
}

std::string text_of_page(const std::string& page) {
  std::ifstream in(std::string(SILLION_SOURCE_DIR) + "/" + page, std::ios::binary);
  return {std::istreambuf_iterator<char>(in), std::istreambuf_iterator<char>()};
}

std::vector<FencedBlock> fenced_blocks(const std::string& page, const std::string& text) {
  std::vector<FencedBlock> blocks;
  bool inside = false;
  int number = 0;
  for (const std::string& line : lines_of(text)) {
    ++number;
    if (line.starts_with("```")) {
      inside = !inside;
      const std::size_t space = std::min(line.find(' '), line.size());
      if (inside)
        blocks.push_back({page,
                          number,
                          line.substr(3, space - 3),
                          line.substr(std::min(space + 1, line.size())),
                          {}});
    } else if (inside) {
      blocks.back().lines.push_back(line);
    }
  }
  return blocks;
}

std::string prose_of(const std::string& text) {
  std::string prose;
  bool inside = false;
  for (const std::string& line : lines_of(text)) {
    if (line.starts_with("```"))
      inside = !inside;
    else if (!inside)
      prose += line + "\n";
  }
  return prose;
}

std::vector<Example> examples_of(const FencedBlock& block) {
  std::vector<Example> all;
  const bool console = block.language == "console";
  if (!console && block.language != "sh") return all;
  std::string pending;
  int number = block.line;
  for (const std::string& line : block.lines) {
    ++number;
    if (console && !line.starts_with("$ ")) {
      if (!all.empty()) all.back().printed.push_back(line);
      continue;
    }
    pending += console ? line.substr(2) : line;
    if (pending.ends_with("\\")) {
      pending.pop_back();
      continue;
    }
    add_commands(pending, block.page + ":" + std::to_string(number), all);
    pending.clear();
  }
  return all;
}

std::vector<Example> examples_of_help(const std::string& command, const std::string& help) {
  std::vector<Example> all;
  const std::size_t at = help.find("Examples:\n");
  if (at == std::string::npos) return all;
  for (const std::string& line : lines_of(std::string_view(help).substr(at + 10)))
    add_commands(line, "sillion " + command + " --help", all);
  return all;
}

std::vector<std::string> anchors_of(const std::string& text) {
  std::vector<std::string> anchors;
  for (const std::string& line : lines_of(prose_of(text))) {
    if (!line.starts_with("#")) continue;
    std::string anchor;
    for (const char c : line.substr(line.find_first_not_of("# "))) {
      if (std::isalnum(static_cast<unsigned char>(c)) || c == '_' || c == '-')
        anchor += static_cast<char>(std::tolower(static_cast<unsigned char>(c)));
      else if (c == ' ')
        anchor += '-';
    }
    anchors.push_back(anchor);
  }
  return anchors;
}

std::vector<std::string> links_of(const std::string& text) {
  static const std::regex link(R"(\]\(([^)\s]+)\))");
  return all_matches(prose_of(text), link);
}

std::vector<std::string> code_words_of(const std::string& prose) {
  static const std::regex code("`([^`\n]+)`");
  return all_matches(prose, code);
}

std::string first_disagreement(const std::vector<std::string>& printed, const std::string& output) {
  const std::vector<std::string> lines = lines_of(output);
  std::size_t at = 0;
  bool skips = false;
  for (const std::string& shown : printed) {
    if (shown == kSkip) {
      skips = true;
      continue;
    }
    while (skips && at < lines.size() && !agrees(shown, lines[at])) ++at;
    if (at >= lines.size() || !agrees(shown, lines[at])) return shown;
    skips = false;
    ++at;
  }
  return skips || at == lines.size() ? "" : "left out without `...`: " + lines[at];
}

}  // namespace support
