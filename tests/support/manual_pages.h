// The reader's manual (README.md and scenarios/manual/) as tests read it: pages, fenced blocks,
// example command lines with what they print, headings and links.
//
//   ```sh          commands to paste; they are parsed, not run
//   ```console     lines behind `$ ` are commands; the lines below each are what it prints
//   ```toml KIND   a file of that kind (nothing: a scenario), as if it stood in scenarios/
//   ```csv NAME    a file of that name, which the commands of the page may read
//
// Errors   none: a page that is not there has no text
// Checked  tests/sim/manual/manual_pages_test.cc
#pragma once

#include <string>
#include <string_view>
#include <vector>

namespace support {

struct FencedBlock {
  std::string page;  // "scenarios/manual/run.md"
  int line = 0;      // of its fence, from 1
  std::string language, kind;
  std::vector<std::string> lines;
};

struct Example {
  std::string place;                 // "scenarios/manual/run.md:12"
  std::string command;               // as it stands in the page
  std::vector<std::string> words;    // as a shell splits it; $PWD is the folder in use
  std::string reads;                 // behind `<`
  std::vector<std::string> printed;  // lines below it, in a console block
};

/// README.md first, then the pages of scenarios/manual/ in the order of their names.
std::vector<std::string> manual_pages();
std::string text_of_page(const std::string& page);
std::vector<FencedBlock> fenced_blocks(const std::string& page, const std::string& text);
/// The page's text without its fenced blocks.
std::string prose_of(const std::string& text);
/// The commands of a block; several commands in one line (`&&`) count as several.
std::vector<Example> examples_of(const FencedBlock& block);
/// The commands below "Examples:" of a --help.
std::vector<Example> examples_of_help(const std::string& command, const std::string& help);
/// Anchors of a page's headings, as pages link to them: "How to read it" is "how-to-read-it".
std::vector<std::string> anchors_of(const std::string& text);
/// Targets of links, "files.md#requirements".
std::vector<std::string> links_of(const std::string& text);
/// The words that stand between single back quotes.
std::vector<std::string> code_words_of(const std::string& prose);

/// Empty where `printed` shows what `output` says, else the first line that does not agree. A line
/// `...` skips any number of lines; of a line that ends in ` ...` only the beginning must agree.
std::string first_disagreement(const std::vector<std::string>& printed, const std::string& output);

}  // namespace support
