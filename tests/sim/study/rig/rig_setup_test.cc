// Rig setups hold what their file says; errors name file, line, key and remedy.
#include "sim/study/rig/rig_setup.h"

#include <gtest/gtest.h>

#include <cmath>
#include <string>

#include "sim/scenario/loader.h"
#include "tests/support/scratch_folder.h"

namespace {

const std::string kTube = R"([tube]
length = "0.6 m"
bore = "4 mm"
wave_speed = "400 m/s"
)";
const std::string kFlow = R"([inlet]
kind = "flow"
times = ["0 s", "0 s"]
values = ["10 ml/s", "0 ml/s"]
)";
const std::string kEnd = R"([outlet]
kind = "pressure"
value = "0 bar"
)";

sim::rig::RigSetup load(const std::string& text, const std::vector<std::string>& sets = {}) {
  const ScratchFolder folder;
  return sim::rig::load_rig_setup(folder.write("setup.toml", text), sets);
}

std::string refusal(const std::string& text, const std::vector<std::string>& sets = {}) {
  try {
    load(text, sets);
  } catch (const sim::text::InputError& error) {
    return error.what();
  }
  return "accepted";
}

void expect_refused(const std::string& text, const std::string& line, const std::string& words) {
  const std::string said = refusal(text);
  EXPECT_NE(said.find("setup.toml" + line), std::string::npos) << said;
  EXPECT_NE(said.find(words), std::string::npos) << said;
}

}  // namespace

TEST(RigSetup, ABareTubeSaysWhatItSays) {
  const sim::rig::RigSetup setup = load(kTube + kFlow + kEnd);
  EXPECT_EQ(setup.inlet, sim::rig::RigInlet::kFlow);
  EXPECT_EQ(setup.end.kind, model::EndKind::kPressure);
  ASSERT_EQ(setup.history.knots.size(), 2U);
  EXPECT_DOUBLE_EQ(setup.history.knots[0].value, 10e-6);
  EXPECT_EQ(setup.history.knots[1].value, 0.0);
}

TEST(RigSetup, AnAttachmentOfTheCatalogFillsTheChain) {
  const sim::rig::RigSetup setup =
      sim::rig::load_rig_setup(SILLION_SOURCE_DIR "/scenarios/demo_rig.toml");
  EXPECT_EQ(setup.inlet, sim::rig::RigInlet::kChain);
  EXPECT_DOUBLE_EQ(setup.part.tube.length_m, 0.3);
  EXPECT_DOUBLE_EQ(setup.drive.supply_v, 12.6);
  EXPECT_DOUBLE_EQ(setup.drive.current_limit_a, 2.5);
}

// Two trapezoids: knots by hand.
TEST(RigSetup, ATrainOfTrapezoids) {
  const sim::rig::RigSetup setup = load(kTube + kEnd + R"([inlet]
kind = "pressure"
peak = "2 bar"
rise = "1 ms"
hold = "3 ms"
fall = "2 ms"
frequency = "100 Hz"
pulses = 2
)");
  const auto& knots = setup.history.knots;
  ASSERT_EQ(knots.size(), 9U);
  EXPECT_DOUBLE_EQ(knots[2].time_s, 1e-3);
  EXPECT_DOUBLE_EQ(knots[2].value, 2e5);
  EXPECT_DOUBLE_EQ(knots[3].time_s, 4e-3);
  EXPECT_DOUBLE_EQ(knots[4].time_s, 6e-3);
  EXPECT_DOUBLE_EQ(knots[5].time_s, 10e-3);
  EXPECT_DOUBLE_EQ(knots[8].time_s, 16e-3);
}

TEST(RigSetup, RefusesWhatContradicts) {
  expect_refused(kTube + kFlow + kEnd + "[hose]\nlength = \"1 m\"\n", ":13", "contradicts [inlet]");
  expect_refused(kTube + kFlow + kEnd + "resistance = \"1e10 Pa s/m3\"\n", ":12",
                 "contradicts outlet.kind");
  expect_refused(kTube + kFlow + "[outlet]\nkind = \"closed\"\n", ":10", "contradicts a flow");
  expect_refused(kTube + kFlow + "mean = \"1 ml/s\"\n" + kEnd, ":7", "one of them");
  expect_refused(kTube + kEnd + "[inlet]\nkind = \"flow\"\n", "", "needs a history");
  expect_refused(kTube + kEnd + "[inlet]\nkind = \"flow\"\ntimes = [\"0 s\"]\nvalues = []\n", "",
                 "as many as");
  expect_refused(kTube + kFlow + "[outlet]\nkind = \"linear\"\n", ":10", "needs outlet.resistance");
  expect_refused(kTube + kFlow + kEnd + "[supply]\npressure = \"3 bar\"\n", ":13", "contradicts");
  expect_refused(kTube + kEnd + "[inlet]\npeak = \"1 ml/s\"\n", ":9", "needs inlet.kind");
}

TEST(RigSetup, RefusesWhatIsNoTube) {
  expect_refused(kFlow + kEnd, "", "tube.length");
  expect_refused("[tube]\nlength = \"-1 m\"\n", ":2", "out of range");
  expect_refused("[tube]\nbore = \"0 mm\"\n", ":2", "out of range");
  expect_refused("[liquid]\ndensity = \"0 kg/m3\"\n", ":2", "out of range");
  expect_refused(kTube + kFlow + kEnd + "[solver]\nstep = \"2 ms\"\n", ":13", "does not resolve");
  expect_refused(kTube + kFlow + kEnd + "[gas_pocket]\nvolume = \"20 ml\"\n", ":13",
                 "larger than the tube");
  expect_refused(kTube + kFlow + kEnd + "[liquid]\nvapour_pressure = \"1.2 bar\"\n", ":13",
                 "would boil");
  expect_refused(kTube + kEnd +
                     "[inlet]\nkind = \"opening\"\nflow = \"1 ml/s\"\nat = \"1 bar\"\npeak = 1\n"
                     "[supply]\npressure = \"-0.995 bar\"\n",
                 ":14", "below vapour pressure");
}

// Values inside the range of their key that no run can use: refused beforehand, with key and
// remedy.
TEST(RigSetup, RefusesWhatCannotBeRun) {
  const auto demo_refusal = [](const std::vector<std::string>& sets) -> std::string {
    try {
      sim::rig::load_rig_setup(SILLION_SOURCE_DIR "/scenarios/demo_rig.toml", sets);
    } catch (const sim::text::InputError& error) {
      return error.what();
    }
    return "accepted";
  };
  const auto expect_words = [&](const std::vector<std::string>& sets, const std::string& key,
                                const std::string& words) {
    const std::string said = demo_refusal(sets);
    EXPECT_NE(said.find(key), std::string::npos) << said;
    EXPECT_NE(said.find(words), std::string::npos) << said;
  };
  expect_words({"drive.pulses=1000000"}, "drive.pulses: would record", "fewer drive.pulses");
  expect_words({"record.every=\"1 ns\""}, "record.every: would record", "at most 5000000");
  expect_words({"record.duration=\"1e5 s\""}, "record.duration: would record", "instants");
  expect_words({"record.duration=\"1e5 s\"", "record.every=\"1 s\""}, "steps",
               "at most 1000000000");
  expect_words({"drive.first_on=\"10 s\"", "record.duration=\"50 ms\""}, "record.duration: ends at",
               "before drive.first_on");
  expect_words({"record.at=[\"2 s\", \"1 s\"]"}, "record.at: must rise", "in order");
  EXPECT_EQ(demo_refusal({"drive.pulses=100"}), "accepted");
}

TEST(RigSetup, NamesTheNearestKeyOfARig) {
  EXPECT_NE(
      refusal(kTube + kFlow + kEnd + "[solver]\nfrction = \"none\"\n").find("solver.friction"),
      std::string::npos);
  EXPECT_NE(refusal(kTube + kFlow + kEnd + "[recrd]\nevery = \"1 ms\"\n").find("record"),
            std::string::npos);
}

// Wood's sum by hand, gas at the atmosphere:
// 1/a^2 = rho_m ((1 - al)/K + al/p + 1/(rho a0^2) - 1/K).
TEST(RigSetup, FreeGasSlowsTheTube) {
  const sim::rig::RigSetup setup = load(kTube + kFlow + kEnd, {"liquid.gas_fraction=0.001"});
  const double rho_kgpm3 = 998.207, bulk_pa = 2.1934e9, al = 1e-3;
  const double compliance_ppa =
      (1.0 - al) / bulk_pa + al / 101325.0 + 1.0 / (rho_kgpm3 * 400.0 * 400.0) - 1.0 / bulk_pa;
  EXPECT_NEAR(setup.part.tube.wave_speed_mps,
              1.0 / std::sqrt((1.0 - al) * rho_kgpm3 * compliance_ppa), 0.05);
  EXPECT_NEAR(setup.liquid.liquid.density_kgpm3, (1.0 - al) * rho_kgpm3, 1e-6);
}
