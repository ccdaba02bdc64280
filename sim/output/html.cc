#include "sim/output/html.h"

#include <algorithm>

#include "sim/output/report_script.h"
#include "sim/output/svg.h"

namespace sim::output {
namespace {

bool is_digit(char c) { return c >= '0' && c <= '9'; }

bool is_unit(std::string_view word) {
  if (!word.empty() && word.back() == '.') word.remove_suffix(1);
  for (const std::string_view unit :
       {" %",    " mm",    " km/h", " mph", " in",    " m/s", " ft/s", " ms",
        " m",    " ft",    " bar",  " psi", " l/min", " gpm", " l/ha", " gal/ac",
        " N/mm", " lb/in", " °C",   " °F",  " cells", " µs"})
    if (word == unit) return true;
  return false;
}

// A number and its unit stay on one line, so that a reader does not look for the "mm" on the next.
std::string prose(std::string_view text) {
  const std::string safe = escaped(text);
  std::string html;
  std::size_t at = 0;
  while (at < safe.size()) {
    std::size_t end = at;
    while (end < safe.size() && (is_digit(safe[end]) || (end > at && safe[end] == '.'))) ++end;
    const std::size_t unit_end = safe.find_first_of(" ;,)\n", end + 1);
    const std::string word = safe.substr(end, std::min(unit_end, safe.size()) - end);
    if (end > at && is_unit(word)) {
      const std::size_t stop = end + word.size();
      html += "<span class=\"q\">" + safe.substr(at, stop - at) + "</span>";
      at = stop;
    } else {
      html += safe.substr(at, std::max<std::size_t>(end - at, 1));
      at = std::max(end, at + 1);
    }
  }
  return html;
}

std::string cell_html(std::string_view tag, bool number, std::string_view text,
                      std::string_view scope) {
  std::string html = "<" + std::string(tag);
  if (number) html += " class=\"number\"";
  if (!scope.empty()) html += " scope=\"" + std::string(scope) + "\"";
  return html + ">" + prose(text) + "</" + std::string(tag) + ">";
}

}  // namespace

std::string table_html(const Table& table) {
  // A table longer than a screen may break over sheets; a short one stays whole. Its caption is
  // above the box that scrolls, so that it can be read in full on a small screen.
  std::string html =
      table.caption.empty() ? "" : "<p class=\"caption\">" + prose(table.caption) + "</p>\n";
  html += table.lines.size() > 24 ? "<div class=\"wide\"><table class=\"long\">\n"
                                  : "<div class=\"wide\"><table>\n";
  if (!table.head.empty()) {
    html += "<thead><tr>";  // a head without words is no head
    for (std::size_t i = 0; i < table.head.size(); ++i)
      html += table.head[i].empty() ? cell_html("td", false, "", "")
                                    : cell_html("th", i >= table.words, table.head[i], "col");
    html += "</tr></thead>\n";
  }
  html += "<tbody>\n";
  for (const std::vector<std::string>& line : table.lines) {
    html += "<tr>";
    for (std::size_t i = 0; i < line.size(); ++i)
      html += i == 0 ? cell_html("th", false, line[i], "row")
                     : cell_html("td", i >= table.words, line[i], "");
    html += "</tr>\n";
  }
  return html + "</tbody></table></div>\n";
}

std::string paragraph_html(std::string_view text) { return "<p>" + prose(text) + "</p>\n"; }

std::string verdict_html(std::string_view subject, std::string_view sentence,
                         std::string_view margin, bool violated) {
  return "<p class=\"subject\">" + escaped(subject) + "</p>\n<div class=\"verdict" +
         (violated ? " violated" : "") + "\">\n<h1>" + prose(sentence) +
         "</h1>\n<p class=\"margin\">" + prose(margin) + "</p>\n</div>\n";
}

std::string list_html(const std::vector<std::string>& items) {
  std::string html = "<ul>\n";
  for (const std::string& item : items) html += "<li>" + prose(item) + "</li>\n";
  return html + "</ul>\n";
}

std::string figure_html(const std::string& svg, std::string_view caption) {
  return "<figure>\n" + svg + "<figcaption>" + prose(caption) + "</figcaption>\n</figure>\n";
}

std::string section_html(std::string_view heading, const std::string& inner) {
  return "<section>\n<h2>" + escaped(heading) + "</h2>\n" + inner + "</section>\n";
}

std::string page_html(std::string_view title, const std::string& body) {
  return "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n"
         "<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n"
         "<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; script-src " +
         report_script_source() +
         "; style-src 'unsafe-inline'; base-uri 'none'; form-action 'none'\">\n<title>" +
         escaped(title) + "</title>\n<style>" + std::string(report_style()) +
         "</style>\n</head>\n<body>\n<main>\n" + body + "</main>\n<script>" +
         std::string(report_script()) + "</script>\n</body>\n</html>\n";
}

}  // namespace sim::output
