// Quantities against the definitions of their units and against figures that others printed.
#include "sim/text/quantity.h"

#include <gtest/gtest.h>

#include <charconv>
#include <locale>
#include <string>

namespace {

using sim::text::Kind;

double si(std::string_view text, Kind kind) {
  const sim::text::Quantity quantity = sim::text::parse_quantity(text, kind);
  EXPECT_EQ(quantity.error, "") << text;
  return quantity.value_si;
}

std::string error_of(std::string_view text, Kind kind) {
  return sim::text::parse_quantity(text, kind).error;
}

}  // namespace

// A decimal prefix moves the exponent, so the double is the one a literal in the code would be.
TEST(Quantity, DecimalUnitsGiveTheDoubleOfTheLiteral) {
  EXPECT_EQ(si("0.3 ms", Kind::kTime), 0.3e-3);
  EXPECT_EQ(si("3.3 ms", Kind::kTime), 3.3e-3);
  EXPECT_EQ(si("12 %", Kind::kRatio), 0.12);
  EXPECT_EQ(si("1.5 %", Kind::kRatio), 0.015);
  EXPECT_EQ(si("50 ppm", Kind::kRatio), 50e-6);
  EXPECT_EQ(si("75 mm", Kind::kLength), 0.075);
  EXPECT_EQ(si("1.37 kg/l", Kind::kDensity), 1370.0);
  EXPECT_EQ(si("45 mPa s", Kind::kViscosity), 0.045);
  EXPECT_EQ(si("2.8 bar", Kind::kPressure), 2.8e5);
  EXPECT_EQ(si("1.2e3 mm", Kind::kLength), 1.2);
  EXPECT_EQ(si("10 us", Kind::kTime), 1e-5);
}

// International yard and pound (1959); US gallon = 231 cubic inches; acre = 43560 square feet.
TEST(Quantity, CustomaryUnitsFollowTheirDefinitions) {
  EXPECT_DOUBLE_EQ(si("6 in", Kind::kLength), 0.1524);
  EXPECT_DOUBLE_EQ(si("39 thou", Kind::kLength), 39 * 0.0254e-3);
  EXPECT_DOUBLE_EQ(si("1 mph", Kind::kSpeed), 0.44704);
  EXPECT_DOUBLE_EQ(si("1 psi", Kind::kPressure), 6894.757293168361);
  EXPECT_DOUBLE_EQ(si("1 gal", Kind::kVolume), 231 * 0.0254 * 0.0254 * 0.0254);
  EXPECT_DOUBLE_EQ(si("128 fl oz", Kind::kVolume), si("1 gal", Kind::kVolume));
  EXPECT_DOUBLE_EQ(si("36 km/h", Kind::kSpeed), 10.0);
  EXPECT_DOUBLE_EQ(si("16 km/h", Kind::kSpeed), 160.0 / 36.0);
  EXPECT_DOUBLE_EQ(si("1 kn", Kind::kSpeed), 1852.0 / 3600.0);
}

// 1 gal/ac = 22225/2376 l/ha, an exact fraction of the definitions above.
TEST(Quantity, GallonsPerAcreAgreeWithLitresPerHectare) {
  const double fraction_ratio = 22225.0 / 2376.0;
  EXPECT_DOUBLE_EQ(si("1 gal/ac", Kind::kVolumePerArea),
                   fraction_ratio * si("1 l/ha", Kind::kVolumePerArea));
  EXPECT_DOUBLE_EQ(si("10000 l/ha", Kind::kVolumePerArea), 1e-3);  // 1 l/m2 is 1 mm of rain
}

// 80 thousand/ha at 0.762 m give 164.0 mm; 32 000/ac at 30 in give 6.5 in (Purdue field guide).
TEST(Quantity, PopulationsGiveTheSpacingsOfTheGuides) {
  const double metric_m = 1.0 / (si("80 thousand/ha", Kind::kCountPerArea) * 0.762);
  EXPECT_NEAR(metric_m, 0.1640, 0.00005);
  EXPECT_EQ(si("80000 seeds/ha", Kind::kCountPerArea),
            si("80 thousand seeds/ha", Kind::kCountPerArea));
  const double us_m = 1.0 / (si("32 thousand/ac", Kind::kCountPerArea) * 30 * 0.0254);
  EXPECT_NEAR(us_m / 0.0254, 6.5, 0.05);
}

TEST(Quantity, TemperaturesHaveTheirZero) {
  EXPECT_DOUBLE_EQ(si("0 C", Kind::kTemperature), 273.15);
  EXPECT_DOUBLE_EQ(si("15 C", Kind::kTemperature), 288.15);
  EXPECT_DOUBLE_EQ(si("-40 F", Kind::kTemperature), si("-40 C", Kind::kTemperature));
  EXPECT_DOUBLE_EQ(si("212 F", Kind::kTemperature), 373.15);
}

TEST(Quantity, BlanksAndSignsOfWordProcessorsAreTakenInStride) {
  EXPECT_EQ(si("16km/h", Kind::kSpeed), si("  16   km/h ", Kind::kSpeed));
  EXPECT_EQ(si("20 \xC2\xB0"
               "C",
               Kind::kTemperature),
            si("20 C", Kind::kTemperature));
  EXPECT_EQ(si("10 \xC2\xB5s", Kind::kTime), si("10 us", Kind::kTime));
  EXPECT_EQ(si("4 \xCE\xA9", Kind::kResistance), 4.0);
  EXPECT_EQ(si("+5 mm", Kind::kLength), 0.005);
  EXPECT_EQ(si("80 mPa\xC2\xB7s", Kind::kViscosity), 0.08);
}

TEST(Quantity, ANumberWithoutUnitIsRefusedUnlessARatio) {
  EXPECT_NE(error_of("16", Kind::kSpeed).find("has no unit"), std::string::npos);
  EXPECT_NE(error_of("16", Kind::kSpeed).find("16 km/h"), std::string::npos);
  EXPECT_EQ(si("0.65", Kind::kRatio), 0.65);
}

TEST(Quantity, AWrongKindIsNamed) {
  const std::string error = error_of("6 in", Kind::kSpeed);
  EXPECT_NE(error.find("is a length"), std::string::npos) << error;
  EXPECT_NE(error.find("speed is wanted"), std::string::npos) << error;
}

TEST(Quantity, AnUnknownUnitNamesTheNearest) {
  const sim::text::Quantity quantity = sim::text::parse_quantity("16 kmh", Kind::kSpeed);
  EXPECT_NE(quantity.error.find("unknown unit \"kmh\""), std::string::npos);
  EXPECT_EQ(quantity.nearest, "km/h");
}

TEST(Quantity, WhatIsNoFiniteNumberIsRefused) {
  for (const char* text : {"", "  ", "fast", "nan m", "inf m", "-inf m", "1e999 m",
                           "1e400000000000 m", "m", "- m", ". m", "0x10 m", "1,5 m", "1e308 km"}) {
    EXPECT_NE(error_of(text, Kind::kLength), "") << text;
  }
}

// A program in a comma locale reads streams with a comma; a scenario means the same everywhere.
TEST(Quantity, TheLocaleChangesNothing) {
  struct Comma : std::numpunct<char> {
    char do_decimal_point() const override { return ','; }
  };
  const std::locale before = std::locale::global(std::locale(std::locale(), new Comma));
  EXPECT_EQ(si("0.3 ms", Kind::kTime), 0.3e-3);
  EXPECT_EQ(sim::text::format_quantity(0.0125, Kind::kLength, "mm"), "12.5 mm");
  EXPECT_EQ(sim::text::shortest_text(0.5), "0.5");
  std::locale::global(before);
}

// Law over the whole table: what is formatted reads back as the same value to the digits printed.
TEST(Quantity, EveryUnitReadsBackWhatItPrints) {
  for (const sim::text::Unit& unit : sim::text::units()) {
    const std::string text = "12.5 " + std::string(unit.name);
    const double value_si = si(text, unit.kind);
    const std::string printed = sim::text::format_quantity(value_si, unit.kind, unit.name, 12);
    EXPECT_EQ(printed, text);
  }
}

TEST(Quantity, NoUnitOfAKindStandsTwice) {
  for (const sim::text::Unit& a : sim::text::units()) {
    int seen = 0;
    for (const sim::text::Unit& b : sim::text::units())
      seen += a.kind == b.kind && a.name == b.name ? 1 : 0;
    EXPECT_EQ(seen, 1) << a.name;
  }
}

TEST(Quantity, ShortestTextReadsBackBitForBit) {
  for (const double value_si :
       {0.1, 1.0 / 3.0, 4.4444444444444446, 5e-324, 1.7976931348623157e308}) {
    const std::string text = sim::text::shortest_text(value_si);
    double read_si = 0.0;
    std::from_chars(text.data(), text.data() + text.size(), read_si);
    EXPECT_EQ(read_si, value_si);
  }
}
