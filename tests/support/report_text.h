// A report as a reader sees it: its sentences and the lines of its tables, cells parted by " | ".
#pragma once

#include <algorithm>
#include <sstream>
#include <string>
#include <string_view>
#include <vector>

namespace support {

inline int count_of(const std::string& text, std::string_view what) {
  int count = 0;
  for (std::size_t at = text.find(what); at != std::string::npos; at = text.find(what, at + 1))
    ++count;
  return count;
}

/// A report without the one script that stands in it.
inline std::string without_script(std::string page) {
  const std::size_t from = page.find("<script>"), until = page.find("</script>");
  if (from != std::string::npos && until != std::string::npos) page.erase(from, until + 9 - from);
  return page;
}

/// Pictures are left out; texts_of_pictures reads their texts.
inline std::vector<std::string> report_lines(const std::string& html) {
  std::string text;
  const auto starts = [&](std::size_t at, std::string_view tag) {
    return std::string_view(html).substr(at, tag.size()) == tag;
  };
  for (std::size_t at = 0; at < html.size();) {
    if (html[at] != '<') {
      text += html[at] == '\n' ? ' ' : html[at];
      ++at;
      continue;
    }
    for (const char* left_out : {"<svg", "<style", "<script"})
      if (starts(at, left_out)) at = html.find(std::string("</") + (left_out + 1), at);
    for (const char* cell : {"</td>", "</th>"})
      if (starts(at, cell)) text += " | ";
    for (const char* line : {"</tr>", "</p>", "</h1>", "</h2>", "</h3>", "</li>"})
      if (starts(at, line)) text += '\n';
    at = html.find('>', at) + 1;
  }
  std::vector<std::string> lines;
  std::istringstream in(text);
  for (std::string line; std::getline(in, line);) {
    line.erase(0, line.find_first_not_of(' '));
    if (!line.empty()) lines.push_back(line);
  }
  return lines;
}

inline std::vector<std::string> cells_of(const std::string& line) {
  std::vector<std::string> cells;
  std::size_t from = 0;
  for (std::size_t end; (end = line.find(" | ", from)) != std::string::npos; from = end + 3)
    cells.push_back(line.substr(from, end - from));
  for (std::string& cell : cells) {
    cell.erase(0, std::min(cell.find_first_not_of(' '), cell.size()));
    while (!cell.empty() && cell.back() == ' ') cell.pop_back();
  }
  return cells;
}

/// The cells of the first table line whose first cell starts with `start`; empty: there is none.
inline std::vector<std::string> table_line(const std::vector<std::string>& lines,
                                           const std::string& start) {
  for (const std::string& line : lines) {
    const std::vector<std::string> cells = cells_of(line);
    if (!cells.empty() && cells.front().starts_with(start)) return cells;
  }
  return {};
}

/// Every text element of the pictures, in order.
inline std::vector<std::string> texts_of_pictures(const std::string& html) {
  std::vector<std::string> texts;
  for (std::size_t at = html.find("<text"); at != std::string::npos; at = html.find("<text", at)) {
    const std::size_t from = html.find('>', at) + 1;
    const std::size_t end = html.find('<', from);
    texts.push_back(html.substr(from, end - from));
    at = end;
  }
  return texts;
}

}  // namespace support
