// Pieces of an HTML page: tables, figures, sections and the page around them. All text arguments
// are escaped here; only `body`, `svg` and `inner` are taken as HTML.
//
// The page loads nothing from any host: style and the one script inside,
// no image file, no font file. The script adds to the page, which is whole without it.
// Checked  tests/sim/study/run/report_test.cc
#pragma once

#include <string>
#include <string_view>
#include <vector>

namespace sim::output {

struct Table {
  std::string caption;
  std::vector<std::string> head;
  std::vector<std::vector<std::string>> lines;
  std::size_t words = 1;  // number of leading columns with words; the others hold numbers
};

/// The verdict sentence and, in the same size, a sentence on the margin for further scatter.
std::string verdict_html(std::string_view subject, std::string_view sentence,
                         std::string_view margin, bool violated);
std::string table_html(const Table& table);
std::string paragraph_html(std::string_view text);
std::string list_html(const std::vector<std::string>& items);
std::string figure_html(const std::string& svg, std::string_view caption);
std::string section_html(std::string_view heading, const std::string& inner);
std::string page_html(std::string_view title, const std::string& body);

}  // namespace sim::output
