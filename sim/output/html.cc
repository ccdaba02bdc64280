#include "sim/output/html.h"

#include <algorithm>

#include "sim/output/svg.h"

namespace sim::output {
namespace {

// Readable in grey and on A4 or Letter: nothing is shown by colour alone, there are no dark
// backgrounds, and a plot or a short table is not broken over two sheets.
constexpr std::string_view kStyle = R"css(
:root { color-scheme: light; }
body { margin: 0; background: #ffffff; color: #1b232d;
  font: 15px/1.5 "Liberation Sans", Arial, Helvetica, sans-serif; }
main { max-width: 760px; margin: 0 auto; padding: 32px 24px 48px; }
.subject { margin: 0 0 10px; color: #59636f; }
h1, .margin { margin: 0; font-size: 24px; line-height: 1.3; font-weight: 600; text-wrap: pretty;
  overflow-wrap: anywhere; }
.verdict { border-left: 6px solid #1f5fa8; padding: 2px 0 2px 16px; margin: 0 0 18px; }
.verdict.violated { border-left: 6px double #c25a12; }
.margin { margin-top: 10px; }
.remark { margin: 10px 0 0; }
h2 { font-size: 18px; line-height: 1.3; margin: 36px 0 8px; padding-top: 10px;
  border-top: 1px solid #d3d8de; break-after: avoid; }
h3 { font-size: 15px; margin: 18px 0 4px; break-after: avoid; }
p { margin: 8px 0; max-width: 46em; }
ul { margin: 8px 0; padding-left: 1.2em; max-width: 46em; }
li { margin: 4px 0; }
figure { margin: 12px 0 18px; break-inside: avoid; }
figure svg { display: block; max-width: 100%; height: auto; }
figcaption { color: #59636f; font-size: 13px; line-height: 1.45; margin-top: 6px; max-width: 54em; }
.q { white-space: nowrap; }
.wide { overflow-x: auto; }
table { border-collapse: collapse; margin: 10px 0 14px; font-size: 13.5px; line-height: 1.4;
  font-variant-numeric: tabular-nums; break-inside: avoid; }
table.long { break-inside: auto; }
.caption { margin: 10px 0 -6px; color: #59636f; font-size: 13px; break-after: avoid; }
th, td { padding: 3px 14px 3px 0; border-bottom: 1px solid #e6e9ed; vertical-align: top; }
th:last-child, td:last-child { padding-right: 0; }
thead th { border-bottom: 1px solid #59636f; font-weight: 600; vertical-align: bottom; }
th { text-align: left; font-weight: 400; }
.number { text-align: right; }
td.number { white-space: nowrap; }
tr { break-inside: avoid; }
code { font-family: "Liberation Mono", Consolas, monospace; font-size: 12.5px;
  overflow-wrap: anywhere; }
summary { cursor: pointer; }
/* A small screen scrolls a plot or a table in its own box instead of shrinking its words. */
@media screen and (max-width: 640px) {
  main { padding: 20px 16px 32px; }
  h1, .margin { font-size: 20px; }
  figure { overflow-x: auto; }
  figure svg { max-width: none; }
  table { font-size: 13px; }
  th, td { padding-right: 10px; }
}
@media print {
  @page { margin: 16mm 15mm; }
  body { font-size: 10.5pt; }
  main { max-width: none; padding: 0; }
  h1, .margin { font-size: 16pt; }
  h2 { font-size: 12.5pt; }
  table { font-size: 9.5pt; }
  figcaption, .caption { font-size: 9pt; color: #1b232d; }
  .wide { overflow: visible; }
}
)css";

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
    html += "<thead><tr>";
    for (std::size_t i = 0; i < table.head.size(); ++i)
      html += cell_html("th", i >= table.words, table.head[i], "col");
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
         "<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; style-src "
         "'unsafe-inline'\">\n<title>" +
         escaped(title) + "</title>\n<style>" + std::string(kStyle) +
         "</style>\n</head>\n<body>\n<main>\n" + body + "</main>\n</body>\n</html>\n";
}

}  // namespace sim::output
