// The pulses of a part read back from their bytes as they were, and an outlet study that finds them
// pulses nothing and comes to the same result.
#include "sim/study/outlet/pulse_record.h"

#include <gtest/gtest.h>

#include <array>

#include "sim/study/outlet/outlet_report.h"
#include "sim/study/outlet/outlet_tables.h"
#include "tests/support/result_folder.h"
#include "tests/support/small_outlet.h"

namespace sim::outlet {
namespace {

TEST(PulseRecord, ComesBackAsItWas) {
  PulseFigures figures;
  figures.alone.rise_s = 1e-3;
  figures.rates.resize(2);
  figures.rates[1].follows = false;
  const std::string bytes = pulses_bytes(figures);
  const std::optional<PulseFigures> back = pulses_from(bytes);
  ASSERT_TRUE(back);
  EXPECT_EQ(pulses_bytes(*back), bytes);
  EXPECT_FALSE(back->rates[1].follows);
  EXPECT_FALSE(pulses_from(std::string_view(bytes).substr(1)));
}

TEST(PulseRecord, KeyFollowsPartPressureAndRates) {
  const scenario::Scenario scenario = sim_test::quiet_demo();
  const std::array rates_hz = {30.0, 60.0};
  const std::string key = pulses_key(scenario, 2e5, rates_hz);
  EXPECT_EQ(pulses_key(scenario, 2e5, rates_hz), key);
  EXPECT_NE(pulses_key(scenario, 2.1e5, rates_hz), key);
  EXPECT_NE(pulses_key(scenario, 2e5, std::span(rates_hz).first(1)), key);
  OutletPart part = part_of(scenario);
  part.tube_wall = "polyamide 12";
  EXPECT_NE(pulses_key(with_part(scenario, part), 2e5, rates_hz), key);
}

TEST(PulseRecord, AStudyFromItsLedgerIsTheSameAndPulsesNothing) {
  const scenario::Scenario scenario = sim_test::quiet_demo();
  const support::ScratchFolder scratch;
  const auto text_with = [&](output::Ledger* ledger) {
    OutletOptions options = sim_test::small_outlet();
    options.ledger = ledger;
    OutletResult result = run_outlet_study(scenario, options);
    seal(result);
    return outlet_json(result);
  };
  const std::string whole = text_with(nullptr);
  {
    output::Ledger ledger(output::ledger_file(scratch.path()), outlet_owner(scenario), false);
    EXPECT_EQ(text_with(&ledger), whole);
    ledger.close();
  }
  const std::int64_t pieces = support::pieces_in(scratch.path());
  EXPECT_GE(pieces, 4);  // of four parts
  support::change_ledger(scratch.path(), "UPDATE piece SET rowid = rowid + 1000");
  {
    output::Ledger ledger(output::ledger_file(scratch.path()), outlet_owner(scenario), true);
    EXPECT_EQ(text_with(&ledger), whole);
    ledger.close();
  }
  sim::output::Database database(output::ledger_file(scratch.path()), output::Access::kRead);
  EXPECT_EQ(database.number_of("SELECT count(*) FROM piece WHERE rowid > 1000"), pieces);
  EXPECT_EQ(database.number_of("SELECT count(*) FROM piece"), pieces);
}

}  // namespace
}  // namespace sim::outlet
