// A drawing as SVG text: lines, areas, marks and words at given places. It knows nothing of axes.
//
// Frame    pixels, x to the right, y down; two decimals
// Colours  one blue, one orange and greys; no plot distinguishes things by colour alone
// Checked  tests/sim/study/run/report_test.cc
#pragma once

#include <cstdint>
#include <span>
#include <string>
#include <string_view>

namespace sim::output {

inline constexpr std::string_view kInk = "#1b232d";
inline constexpr std::string_view kMuted = "#59636f";
inline constexpr std::string_view kRule = "#d3d8de";
inline constexpr std::string_view kPaper = "#ffffff";
inline constexpr std::string_view kBlue = "#1f5fa8";
inline constexpr std::string_view kBluePale = "#e4edf7";
inline constexpr std::string_view kOrange = "#c25a12";
inline constexpr std::string_view kNoFill = "none";

struct Point {
  double x_px = 0.0;
  double y_px = 0.0;
};

struct Pen {
  std::string_view colour = kInk;
  double width_px = 1.0;
  std::string_view dashes = {};  // "4 3"; empty: solid
};

enum class Anchor : std::uint8_t { kStart, kMiddle, kEnd };

struct Lettering {
  double size_px = 12.0;
  Anchor anchor = Anchor::kStart;
  std::string_view colour = kInk;
  bool bold = false;
  bool upward = false;  // turned to read from bottom to top
};

class Drawing {
 public:
  Drawing(double width_px, double height_px);

  void line(Point from, Point to, const Pen& pen = {});
  void path(std::span<const Point> points, const Pen& pen);
  void area(std::span<const Point> points, std::string_view fill);
  void box(Point corner, Point opposite, std::string_view fill, const Pen& pen);
  void hatched_box(Point corner, Point opposite, const Pen& pen);
  /// Falling strokes over what is there. The strokes of hatched_box rise, so the two differ in grey
  /// too.
  void falling_hatch(Point corner, Point opposite, const Pen& pen);
  void ellipse(Point centre, Point radii, std::string_view fill, const Pen& pen);
  void dots(std::span<const Point> points, double size_px, std::string_view colour);
  void crosses(std::span<const Point> points, double size_px, const Pen& pen);
  void text(Point at, std::string_view words, const Lettering& lettering = {});

  /// What is drawn until close_group() lies in a group with these attributes, written as they are:
  /// ` data-row="3"`.
  void open_group(std::string_view attributes);
  void close_group();
  /// What is drawn until close_group() has these words for a reader who points at it.
  void open_words(std::string_view words);
  /// Lines, dots and crosses drawn from here on show the values of this quantity, such as "lift";
  /// empty: of none. The script of a report reads values off named marks alone.
  void name(std::string_view quantity);

  /// SVG for a place inside an HTML page; `id` is unique on that page.
  std::string inline_svg(std::string_view id, std::string_view title, std::string_view desc) const;
  /// SVG as a file of its own.
  std::string file_svg(std::string_view title, std::string_view desc) const;

 private:
  std::string svg(std::string_view attributes, std::string_view id, std::string_view title,
                  std::string_view desc) const;
  double width_px_;
  double height_px_;
  std::string named_;  // attribute of the marks, with its space; empty: none
  std::string body_;
};

/// Text for HTML and XML: & < > " ' are written as entities, control characters dropped.
std::string escaped(std::string_view text);
/// A colour between two given as "#rrggbb".
std::string between_colours(std::string_view from, std::string_view to, double share_ratio);

}  // namespace sim::output
