// The units that a real number's name may end in. A new one is a row here, with what it measures.
//
// `p` reads "per": mps metres per second, kgpm3 kilograms per cubic metre. SI only: what people
// write is converted at the edge (shared/units.h).
// Checked  tests/arch/rules_test.cc
#pragma once

#include <array>
#include <string_view>

namespace arch {

struct UnitSuffix {
  std::string_view word;
  std::string_view measures;
};

inline constexpr std::array kUnitSuffixes = {
    UnitSuffix{"m", "length, place, error"},
    UnitSuffix{"m2", "area"},
    UnitSuffix{"m3", "volume"},
    UnitSuffix{"s", "time inside equations"},
    UnitSuffix{"hz", "rate of repetition"},
    UnitSuffix{"ns", "time as a whole number of nanoseconds"},
    UnitSuffix{"kg", "mass"},
    UnitSuffix{"n", "force"},
    UnitSuffix{"m4", "volume times length: first moment of liquid"},
    UnitSuffix{"pa", "pressure, gauge unless the name says abs"},
    UnitSuffix{"pa2", "pressure squared"},
    UnitSuffix{"k", "temperature"},
    UnitSuffix{"rad", "angle"},
    UnitSuffix{"deg", "latitude, longitude, course: as the files of maps and receivers have them"},
    UnitSuffix{"a", "current"},
    UnitSuffix{"v", "voltage"},
    UnitSuffix{"vs", "voltage times time: flux linkage"},
    UnitSuffix{"as", "current times time: charge"},
    UnitSuffix{"ohm", "resistance of a coil"},
    UnitSuffix{"h", "inductance"},
    UnitSuffix{"j", "energy"},
    UnitSuffix{"w", "power"},
    UnitSuffix{"mps", "speed"},
    UnitSuffix{"mps2", "acceleration"},
    UnitSuffix{"m2ps", "kinematic viscosity"},
    UnitSuffix{"radps", "rate of turn"},
    UnitSuffix{"m3ps", "volume flow"},
    UnitSuffix{"m3ps2", "rate of change of volume flow"},
    UnitSuffix{"kgps", "mass flow"},
    UnitSuffix{"kgpm", "mass a length"},
    UnitSuffix{"kgpm3", "density"},
    UnitSuffix{"m3pm", "volume a length of row"},
    UnitSuffix{"m3pm2", "volume an area: a rate on the field"},
    UnitSuffix{"kgpm2", "mass an area: nutrients on the field"},
    UnitSuffix{"pas", "dynamic viscosity"},
    UnitSuffix{"paspm3", "pressure a volume flow: impedance, resistance of a line"},
    UnitSuffix{"paspm4", "resistance of a line a length"},
    UnitSuffix{"pas2pm6", "pressure a volume flow squared: root law"},
    UnitSuffix{"m3ppa", "volume a pressure: compliance"},
    UnitSuffix{"m3pspa", "volume flow a pressure: conductance"},
    UnitSuffix{"kpw", "temperature a power: thermal resistance"},
    UnitSuffix{"pam3", "pressure times volume: amount of gas"},
    UnitSuffix{"ppa", "inverse of a pressure: compliance of a wall"},
    UnitSuffix{"paps", "rate of change of pressure"},
    UnitSuffix{"papm", "pressure gradient"},
    UnitSuffix{"npm", "spring rate, surface tension"},
    UnitSuffix{"npa", "force a current, voltage a speed"},
    UnitSuffix{"nspm", "damping"},
    UnitSuffix{"aps", "rate of change of current"},
    UnitSuffix{"vps", "rate of change of voltage"},
    UnitSuffix{"pm", "number a length: density of seeds along a row, inverse length"},
    UnitSuffix{"pm2", "number an area: plant population"},
    UnitSuffix{"pm3", "number a volume: pulses of a flow meter"},
    UnitSuffix{"ps", "inverse of a time: decay"},
    UnitSuffix{"px", "place or length on a drawing"},
    UnitSuffix{"bitps", "bits a second"},
    UnitSuffix{"cells", "length counted in cells of a line's grid"},
    UnitSuffix{"ratio", "pure number, share, coefficient"},
    UnitSuffix{"si", "an SI value whose unit its key knows: text of scenarios and commands only"},
    UnitSuffix{"px", "place or size on a drawing"},
    UnitSuffix{"frac", "share between 0 and 1"},
};

inline constexpr bool is_unit_suffix(std::string_view word) {
  for (const UnitSuffix& unit : kUnitSuffixes) {
    if (unit.word == word) return true;
  }
  return false;
}

}  // namespace arch
