// Units that people write, in SI. Every factor is exact by definition, so products and identities
// are exact too.
//
// Source   international yard and pound agreement 1959 (inch, mile, acre, pound); US liquid gallon
//          = 231 cubic inches; fluid ounce = gallon / 128; standard gravity 9.80665 m/s2 (3rd CGPM
//          1901); knot = 1852 m / h
// Checked  tests/published/units_test.cc
#pragma once

namespace shared {

inline constexpr double kInch_m = 0.0254;
inline constexpr double kFoot_m = 0.3048;
inline constexpr double kMile_m = 1609.344;
inline constexpr double kHour_s = 3600.0;
inline constexpr double kMilePerHour_mps = kMile_m / kHour_s;
inline constexpr double kKilometrePerHour_mps = 1.0 / 3.6;
inline constexpr double kKnot_mps = 1852.0 / 3600.0;
inline constexpr double kAcre_m2 = 4046.8564224;  // the international acre
inline constexpr double kHectare_m2 = 1e4;
inline constexpr double kGallon_m3 = 3.785411784e-3;
inline constexpr double kFluidOunce_m3 = kGallon_m3 / 128.0;
inline constexpr double kPound_kg = 0.45359237;
inline constexpr double kStandardGravity_mps2 = 9.80665;
inline constexpr double kPoundPerSquareInch_pa =
    kPound_kg * kStandardGravity_mps2 / (kInch_m * kInch_m);
inline constexpr double kBar_pa = 1e5;
inline constexpr double kGallonPerAcre_m3pm2 = kGallon_m3 / kAcre_m2;
inline constexpr double kLitrePerHectare_m3pm2 = 1e-7;
inline constexpr double kStandardAtmosphere_pa = 101325.0;
inline constexpr double kZeroCelsius_k = 273.15;
inline constexpr double kPi_ratio = 3.14159265358979323846;

}  // namespace shared
