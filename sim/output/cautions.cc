#include "sim/output/cautions.h"

#include "sim/output/html.h"
#include "sim/scenario/delay_file.h"

namespace sim::output {

namespace {

struct Worded {
  Caution caution;
  const char* words;
};

constexpr Worded kWords[] = {
    // A delay table's file contains the same sentence.
    {Caution::kDesignAid, scenario::kSimulatedCaution},
    {Caution::kLinesHoldPressure,
     "Lines hold pressure after the key is off. Bleed them, read zero on a gauge, cut the "
     "valves' supply and lock the machine out before you open anything or reach in."},
    {Caution::kRadioCommand, "A radio command can fire a valve."},
    {Caution::kRaisedPlanter,
     "Do not stand or reach under a raised planter that is not on its stands."},
    {Caution::kBenchPulses, "Wear a face shield and gloves at bench pulses, and start with water."},
    {Caution::kTreatedSeed,
     "Wear gloves and a dust mask with treated seed, and follow the seed tag."},
    {Caution::kFollowTheLabel,
     "Follow the product's label, its safety data sheet and local codes."},
    {Caution::kFlushTheLines, "Flush the lines before frost and before the product can salt out."},
    {Caution::kContainSpills, "Contain spills."},
    {Caution::kFertiliserWithSeed,
     "Fertiliser placed with seed can injure it. The limits depend on crop, soil, salt "
     "content and distance. They were written for continuous streams, and none is "
     "published for bands: ask the local extension service or a licensed adviser."},
    {Caution::kPesticideLabel,
     "The labelled row rate of a pesticide is an upper limit inside the band as well. "
     "Whether it may be placed in bands at all is for its label to say."},
    {Caution::kJetMovesSeed,
     "At the flows of a wide outlet the jet pushes with a multiple of a seed's weight: "
     "aimed at the seed, it moves it. Reports say \"may move the seed\" where that is so."},
    {Caution::kMakers,
     "Nothing here replaces the instructions of the makers of machine and valve."},
    {Caution::kCatchTheLiquid, "Point the outlet into a cup that is held."},
    {Caution::kHotCoil, "A coil that is held on gets hot."},
    {Caution::kModelIsNoMeasurement,
     "A model is no measurement: it was checked against exact solutions and published "
     "figures, not against this valve."},
    {Caution::kWhatTheLiquidAttacks,
     "Check the liquid's label and data sheet for what it attacks: copper and its alloys, "
     "for one, do not stand ammonia or many fertilisers."},
    {Caution::kPressureRating,
     "A tube and its joints must bear the pump's highest pressure at the day's highest "
     "temperature; follow their maker's rating, not these figures."},
    {Caution::kNeverProbe, "Never probe or blow out an outlet under pressure, nor by mouth."},
    {Caution::kMachineDrives,
     "Nobody stands near the row units or in the path while the machine drives."},
    {Caution::kFlushBeforeDye,
     "Wear eye protection. Flush product out before the dye, and follow its label for the "
     "rinse."},
    {Caution::kNoRecommendation,
     "These are figures and no recommendation: they follow from what was entered. The "
     "product's label, its safety data sheet, local codes and licensed advice come first."},
    {Caution::kNotModelledInSoil,
     "The model leaves out how liquid soaks in and runs in the furrow, and what the band "
     "does to the plant."},
    {Caution::kCatchTest, "Confirm rate and pressure by a catch test before use."},
    {Caution::kReadingsAsGood,
     "These figures are as good as the readings. Enter them, lay one more strip and see "
     "that the bands come where they should, then confirm with product in the field: its "
     "viscosity is not that of water."},
};

}  // namespace

const char* words_of(Caution caution) {
  for (const Worded& one : kWords)
    if (one.caution == caution) return one.words;
  return "";
}

std::string paragraph_of(std::initializer_list<Caution> cautions) {
  std::string text;
  for (const Caution caution : cautions)
    text += (text.empty() ? "" : " ") + std::string(words_of(caution));
  return text;
}

std::vector<std::string> general_cautions() {
  return {
      words_of(Caution::kDesignAid),
      paragraph_of({Caution::kLinesHoldPressure, Caution::kRadioCommand}),
      words_of(Caution::kRaisedPlanter),
      words_of(Caution::kBenchPulses),
      words_of(Caution::kTreatedSeed),
      paragraph_of({Caution::kFollowTheLabel, Caution::kFlushTheLines, Caution::kContainSpills}),
      words_of(Caution::kFertiliserWithSeed),
      words_of(Caution::kPesticideLabel),
      words_of(Caution::kJetMovesSeed),
      words_of(Caution::kMakers)};
}

std::string cautions_section() { return section_html("Cautions", list_html(general_cautions())); }

// Two paragraphs, because the whole sheet must fit on one side of Letter paper.
std::vector<std::string> bench_cautions() {
  return {paragraph_of({Caution::kBenchPulses, Caution::kCatchTheLiquid, Caution::kHotCoil,
                        Caution::kLinesHoldPressure}),
          paragraph_of({Caution::kFollowTheLabel, Caution::kFlushTheLines, Caution::kContainSpills,
                        Caution::kModelIsNoMeasurement, Caution::kMakers})};
}

std::vector<std::string> outlet_cautions() {
  return {words_of(Caution::kWhatTheLiquidAttacks), words_of(Caution::kPressureRating),
          words_of(Caution::kNeverProbe)};
}

std::vector<std::string> strip_test_cautions() {
  return {paragraph_of({Caution::kRaisedPlanter, Caution::kMachineDrives}),
          paragraph_of({Caution::kLinesHoldPressure, Caution::kRadioCommand}),
          words_of(Caution::kTreatedSeed),
          paragraph_of({Caution::kFlushBeforeDye, Caution::kMakers})};
}

std::vector<std::string> rate_cautions() {
  return {words_of(Caution::kNoRecommendation),
          paragraph_of({Caution::kFertiliserWithSeed, Caution::kNotModelledInSoil}),
          paragraph_of({Caution::kDesignAid, Caution::kCatchTest, Caution::kLinesHoldPressure})};
}

}  // namespace sim::output
