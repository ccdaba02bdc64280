// Every caution of the program, worded once. Reports, sheets, the command line and README.md take
// their words from here, so that all of them say the same about a danger.
//
// Errors   none
// Checked  tests/sim/manual/manual_cautions_test.cc, tests/sim/study/run/report_test.cc
#pragma once

#include <initializer_list>
#include <string>
#include <vector>

namespace sim::output {

enum class Caution {
  kDesignAid,
  kLinesHoldPressure,
  kRadioCommand,
  kRaisedPlanter,
  kBenchPulses,
  kTreatedSeed,
  kFollowTheLabel,
  kFlushTheLines,
  kContainSpills,
  kFertiliserWithSeed,
  kPesticideLabel,
  kJetMovesSeed,
  kMakers,
  // only on one sheet or page
  kCatchTheLiquid,
  kHotCoil,
  kModelIsNoMeasurement,
  kWhatTheLiquidAttacks,
  kPressureRating,
  kNeverProbe,
  kMachineDrives,
  kFlushBeforeDye,
  kNoRecommendation,
  kNotModelledInSoil,
  kCatchTest,
  kReadingsAsGood,
};

/// One or more whole sentences, without a line break at the end.
const char* words_of(Caution caution);

/// The sentences of several cautions as one paragraph.
std::string paragraph_of(std::initializer_list<Caution> cautions);

/// The cautions for every use of the program, in the order in which README.md and every report show
/// them.
std::vector<std::string> general_cautions();
/// The general cautions as a section of a page.
std::string cautions_section();
std::vector<std::string> bench_cautions();       // of the valve's sheet
std::vector<std::string> outlet_cautions();      // of outlet and tube, above the general ones
std::vector<std::string> strip_test_cautions();  // of the sheet that goes to the field
std::vector<std::string> rate_cautions();        // of the sheet of a rate plan

}  // namespace sim::output
