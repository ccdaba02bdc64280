// A waveform made by hand against the text that IEEE Std 1364-2005, clause 18, asks for: declared
// names, $dumpvars with every value once, then changes only, times in the declared microseconds.
#include "sim/output/vcd.h"

#include <gtest/gtest.h>

#include <cmath>
#include <sstream>
#include <string>
#include <vector>

namespace sim::output {
namespace {

/// 100 us: all at rest. 100.4 us falls into the same microsecond: the sensor sees the seed.
/// 150 us: drive and an event. 200 us: nothing new.
measure::Waveform one_edge() {
  measure::Waveform wave;
  wave.notes = {"scenario demo, row 3, seed 17"};
  measure::WaveInstant now;
  now.at = {100'000};
  now.supply_voltage_v = 12.5;
  now.supply_pressure_pa = 200'000.0;
  wave.instants.push_back(now);
  now.at = {100'400};
  now.covered = true;
  wave.instants.push_back(now);
  now.at = {150'000};
  now.drive = now.event = true;
  now.seed_number = 5;
  now.lift_m = 0.25e-3;
  wave.instants.push_back(now);
  now.at = {200'000};
  now.event = false;
  wave.instants.push_back(now);
  return wave;
}

TEST(Vcd, WritesTheStandardsTextForAWaveformMadeByHand) {
  EXPECT_EQ(vcd_text(one_edge()),
            "$comment scenario demo, row 3, seed 17 $end\n"
            "$timescale 1 us $end\n"
            "$scope module row $end\n"
            "$scope module sensor $end\n"
            "$var wire 1 ! covered $end\n"
            "$upscope $end\n"
            "$scope module controller $end\n"
            "$var wire 1 \" valve_commanded $end\n"
            "$var wire 1 # lowered $end\n"
            "$var wire 1 $ event $end\n"
            "$var real 64 s seed_number $end\n"
            "$upscope $end\n"
            "$scope module valve $end\n"
            "$var wire 1 % drive $end\n"
            "$var wire 1 & fast_decay $end\n"
            "$var wire 1 ' reverse $end\n"
            "$var real 64 A supply_V $end\n"
            "$var real 64 B current_A $end\n"
            "$var real 64 C lift_mm $end\n"
            "$var real 64 D flow_mlps $end\n"
            "$upscope $end\n"
            "$scope module column $end\n"
            "$var real 64 E supply_bar $end\n"
            "$var real 64 F hose_end_bar $end\n"
            "$var real 64 G valve_exit_bar $end\n"
            "$var real 64 H outlet_bar $end\n"
            "$var real 64 I outlet_mlps $end\n"
            "$upscope $end\n"
            "$scope module ground $end\n"
            "$var wire 1 ( wanted $end\n"
            "$var wire 1 ) own_liquid $end\n"
            "$var real 64 J landing_m $end\n"
            "$upscope $end\n"
            "$upscope $end\n"
            "$enddefinitions $end\n"
            "#100\n"
            "$dumpvars\n"
            "1!\n0\"\n0#\n0$\n0%\n0&\n0'\n0(\n0)\n"
            "r-1 s\n"
            "r12.5 A\nr0 B\nr0 C\nr0 D\nr2 E\nr0 F\nr0 G\nr0 H\nr0 I\nr0 J\n"
            "$end\n"
            "#150\n"
            "1$\n1%\nr5 s\nr0.25 C\n"
            "#151\n"
            "0$\n");
}

TEST(Vcd, EventOfAnInstantThatTheMicrosecondSwallowsIsKept) {
  measure::Waveform wave = one_edge();
  wave.instants[2].at = {200'000};
  wave.instants[3].at = {200'900};
  const std::string text = vcd_text(wave);
  EXPECT_NE(text.find("#200\n1$\n"), std::string::npos);
  EXPECT_NE(text.find("#201\n0$\n"), std::string::npos);
}

/// Cells as numbers, so that 200000 and 2e+05 are the same; an empty cell is not-a-number.
std::vector<double> numbers_of(const std::string& line) {
  std::vector<double> numbers;
  std::istringstream cells(line + ",");
  for (std::string cell; std::getline(cells, cell, ',');)
    numbers.push_back(cell.empty() ? std::nan("") : std::stod(cell));
  return numbers;
}

TEST(Vcd, CsvHasALineAnInstantInSiAndNoPlaceWhereNothingLands) {
  measure::Waveform wave = one_edge();
  wave.instants.resize(3);
  wave.instants[2].landing_x_ground_m = 1.5;
  std::istringstream lines(wave_csv(wave));
  std::string line;
  std::getline(lines, line);
  EXPECT_EQ(line,
            "time_s,covered,valve_commanded,lowered,event,drive,fast_decay,reverse,wanted,"
            "own_liquid,seed_number,supply_voltage_v,current_a,lift_m,valve_flow_m3ps,"
            "supply_pressure_pa,hose_end_pressure_pa,valve_exit_pressure_pa,outlet_pressure_pa,"
            "outlet_flow_m3ps,landing_x_ground_m");
  const std::vector<double> still{0, 0, 0, 0, 0, 0, 0, 0, 0, -1, 12.5, 0, 0, 0, 200e3, 0, 0, 0, 0};
  const double times_s[] = {100e-6, 100.4e-6, 150e-6};
  for (std::size_t k = 0; k < 3; ++k) {
    ASSERT_TRUE(std::getline(lines, line));
    std::vector<double> wanted = still;
    wanted.insert(wanted.begin(), times_s[k]);
    wanted[1] = k >= 1 ? 1 : 0;
    if (k == 2) wanted[4] = wanted[5] = 1, wanted[10] = 5, wanted[13] = 0.25e-3;
    std::vector<double> got = numbers_of(line);
    ASSERT_EQ(got.size(), 21u) << line;
    const double landing_m = got.back();
    got.pop_back();
    EXPECT_EQ(got, wanted) << line;
    if (k == 2)
      EXPECT_EQ(landing_m, 1.5);
    else
      EXPECT_TRUE(std::isnan(landing_m)) << line;
  }
  EXPECT_FALSE(std::getline(lines, line)) << line;
}

TEST(Vcd, NothingRecordedIsAHeaderAlone) {
  const std::string text = vcd_text({});
  EXPECT_TRUE(text.ends_with("$enddefinitions $end\n"));
}

}  // namespace
}  // namespace sim::output
