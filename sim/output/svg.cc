#include "sim/output/svg.h"

#include <algorithm>
#include <charconv>
#include <cmath>

#include "shared/check.h"
#include "sim/output/number_text.h"

namespace sim::output {
namespace {

std::string px(double place_px) {
  EXPECTS(std::isfinite(place_px));
  std::string text = fixed_text(place_px, 2);
  while (text.back() == '0') text.pop_back();
  if (text.back() == '.') text.pop_back();
  return text;
}

std::string at(Point point) { return px(point.x_px) + " " + px(point.y_px); }

std::string attribute(std::string_view name, std::string_view value) {
  return " " + std::string(name) + "=\"" + std::string(value) + "\"";
}

std::string stroke(const Pen& pen) {
  if (pen.colour == kNoFill) return {};
  std::string text = attribute("stroke", pen.colour) + attribute("stroke-width", px(pen.width_px));
  if (!pen.dashes.empty()) text += attribute("stroke-dasharray", pen.dashes);
  return text;
}

std::string polyline_data(std::span<const Point> points) {
  std::string data;
  for (const Point& point : points) data += (data.empty() ? "M" : "L") + at(point);
  return data;
}

std::string box_place(Point corner, Point opposite) {
  return attribute("x", px(std::min(corner.x_px, opposite.x_px))) +
         attribute("y", px(std::min(corner.y_px, opposite.y_px))) +
         attribute("width", px(std::abs(opposite.x_px - corner.x_px))) +
         attribute("height", px(std::abs(opposite.y_px - corner.y_px)));
}

int channel(std::string_view colour, std::size_t index) {
  int value = 0;
  std::from_chars(colour.data() + 1 + 2 * index, colour.data() + 3 + 2 * index, value, 16);
  return value;
}

}  // namespace

Drawing::Drawing(double width_px, double height_px) : width_px_(width_px), height_px_(height_px) {}

void Drawing::line(Point from, Point to, const Pen& pen) {
  body_ += "<path" + named_ + " d=\"M" + at(from) + "L" + at(to) + "\"" + stroke(pen) + "/>\n";
}

void Drawing::path(std::span<const Point> points, const Pen& pen) {
  if (points.size() < 2) return;
  body_ += "<path" + named_ + " fill=\"none\" stroke-linejoin=\"round\" d=\"" +
           polyline_data(points) + "\"" + stroke(pen) + "/>\n";
}

void Drawing::area(std::span<const Point> points, std::string_view fill) {
  if (points.size() < 3) return;
  body_ += "<path d=\"" + polyline_data(points) + "Z\"" + attribute("fill", fill) + "/>\n";
}

void Drawing::box(Point corner, Point opposite, std::string_view fill, const Pen& pen) {
  body_ += "<rect" + box_place(corner, opposite) + attribute("fill", fill) + stroke(pen) + "/>\n";
}

void Drawing::hatched_box(Point corner, Point opposite, const Pen& pen) {
  // Drawn line by line: a pattern would need an id that is unique on the page.
  box(corner, opposite, kPaper, pen);
  const double left_px = std::min(corner.x_px, opposite.x_px);
  const double right_px = std::max(corner.x_px, opposite.x_px);
  const double top_px = std::min(corner.y_px, opposite.y_px);
  const double bottom_px = std::max(corner.y_px, opposite.y_px);
  const double height_px = bottom_px - top_px;
  std::string data;
  for (double foot_px = left_px - height_px + 7.0; foot_px < right_px; foot_px += 7.0) {
    const double from_px = std::max(foot_px, left_px);
    const double to_px = std::min(foot_px + height_px, right_px);
    data += "M" + at({from_px, bottom_px - (from_px - foot_px)}) + "L" +
            at({to_px, bottom_px - (to_px - foot_px)});
  }
  body_ += "<path d=\"" + data + "\"" + stroke({kRule, 1.0}) + "/>\n";
}

void Drawing::falling_hatch(Point corner, Point opposite, const Pen& pen) {
  const double left_px = std::min(corner.x_px, opposite.x_px);
  const double right_px = std::max(corner.x_px, opposite.x_px);
  const double top_px = std::min(corner.y_px, opposite.y_px);
  const double bottom_px = std::max(corner.y_px, opposite.y_px);
  const double height_px = bottom_px - top_px;
  std::string data;
  for (double head_px = left_px - height_px + 9.0; head_px < right_px; head_px += 9.0) {
    const double from_px = std::max(head_px, left_px);
    const double to_px = std::min(head_px + height_px, right_px);
    data += "M" + at({from_px, top_px + (from_px - head_px)}) + "L" +
            at({to_px, top_px + (to_px - head_px)});
  }
  body_ += "<path d=\"" + data + "\"" + stroke(pen) + "/>\n";
}

void Drawing::ellipse(Point centre, Point radii, std::string_view fill, const Pen& pen) {
  body_ += "<ellipse" + attribute("cx", px(centre.x_px)) + attribute("cy", px(centre.y_px)) +
           attribute("rx", px(radii.x_px)) + attribute("ry", px(radii.y_px)) +
           attribute("fill", fill) + stroke(pen) + "/>\n";
}

void Drawing::dots(std::span<const Point> points, double size_px, std::string_view colour) {
  if (points.empty()) return;
  // A line of length zero with round ends is a dot, in a fraction of the bytes of a circle.
  std::string data;
  for (const Point& point : points) data += "M" + at(point) + "h0";
  body_ += "<path" + named_ + " stroke-linecap=\"round\" d=\"" + data + "\"" +
           stroke({colour, size_px}) + "/>\n";
}

void Drawing::crosses(std::span<const Point> points, double size_px, const Pen& pen) {
  if (points.empty()) return;
  const std::string half = px(size_px / 2.0);
  const std::string whole = px(size_px);
  std::string data;
  for (const Point& point : points)
    data += "M" + at(point) + "m-" + half + " -" + half + "l" + whole + " " + whole + "m-" + whole +
            " 0l" + whole + " -" + whole;
  body_ += "<path" + named_ + " fill=\"none\" d=\"" + data + "\"" + stroke(pen) + "/>\n";
}

void Drawing::text(Point place, std::string_view words, const Lettering& lettering) {
  constexpr std::string_view kAnchors[] = {"start", "middle", "end"};
  body_ += "<text" + attribute("x", px(place.x_px)) + attribute("y", px(place.y_px)) +
           attribute("font-size", px(lettering.size_px)) + attribute("fill", lettering.colour);
  if (lettering.anchor != Anchor::kStart)
    body_ += attribute("text-anchor", kAnchors[static_cast<std::size_t>(lettering.anchor)]);
  if (lettering.bold) body_ += attribute("font-weight", "bold");
  if (lettering.upward) body_ += attribute("transform", "rotate(-90 " + at(place) + ")");
  body_ += ">" + escaped(words) + "</text>\n";
}

void Drawing::open_group(std::string_view attributes) {
  body_ += "<g" + std::string(attributes) + ">\n";
}

void Drawing::close_group() { body_ += "</g>\n"; }

void Drawing::open_words(std::string_view words) {
  open_group(attribute("data-words", escaped(words)));
}

void Drawing::name(std::string_view quantity) {
  named_ = quantity.empty() ? "" : attribute("data-name", escaped(quantity));
}

std::string Drawing::svg(std::string_view attributes, std::string_view id, std::string_view title,
                         std::string_view desc) const {
  const std::string name(id);
  return "<svg" + std::string(attributes) +
         attribute("viewBox", "0 0 " + px(width_px_) + " " + px(height_px_)) +
         attribute("width", px(width_px_)) + attribute("height", px(height_px_)) +
         attribute("role", "img") + attribute("aria-labelledby", name + "-t " + name + "-d") +
         attribute("font-family", "Liberation Sans, Arial, Helvetica, sans-serif") + ">\n<title" +
         attribute("id", name + "-t") + ">" + escaped(title) + "</title>\n<desc" +
         attribute("id", name + "-d") + ">" + escaped(desc) + "</desc>\n" + body_ + "</svg>\n";
}

std::string Drawing::inline_svg(std::string_view id, std::string_view title,
                                std::string_view desc) const {
  return svg("", id, title, desc);
}

std::string Drawing::file_svg(std::string_view title, std::string_view desc) const {
  return svg(" xmlns=\"http://www.w3.org/2000/svg\"", "drawing", title, desc);
}

std::string escaped(std::string_view text) {
  std::string safe;
  for (const char c : text) {
    switch (c) {
      case '&': safe += "&amp;"; break;
      case '<': safe += "&lt;"; break;
      case '>': safe += "&gt;"; break;
      case '"': safe += "&quot;"; break;
      case '\'': safe += "&#39;"; break;
      default:
        if (static_cast<unsigned char>(c) >= 0x20 || c == '\n' || c == '\t') safe += c;
    }
  }
  return safe;
}

std::string between_colours(std::string_view from, std::string_view to, double share_ratio) {
  const double share = std::clamp(share_ratio, 0.0, 1.0);
  std::string colour = "#";
  for (std::size_t i = 0; i < 3; ++i) {
    const double mixed = channel(from, i) + share * (channel(to, i) - channel(from, i));
    const int value = static_cast<int>(std::lround(mixed));
    colour += "0123456789abcdef"[value >> 4];
    colour += "0123456789abcdef"[value & 15];
  }
  return colour;
}

}  // namespace sim::output
