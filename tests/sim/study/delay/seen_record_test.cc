// What a condition showed reads back from its bytes as it was, and its key follows everything that
// a pass depends on; a study that finds its passes runs none and comes to the same result.
#include "sim/study/delay/seen_record.h"

#include <gtest/gtest.h>

#include <set>

#include "sim/study/delay/delay.h"
#include "sim/study/delay/delay_tables.h"
#include "tests/sim/study/delay/delay_inputs.h"
#include "tests/support/result_folder.h"

namespace sim::delay {
namespace {

TEST(SeenRecord, ComesBackAsItWas) {
  SeenCondition seen;
  seen.condition.speed_mps = 3.0;
  seen.bands.resize(2);
  seen.bands[1].rest_s = 0.1;
  seen.rows.resize(3);
  seen.rows[2].sensed = 7;
  const std::string bytes = seen_bytes(seen);
  const std::optional<SeenCondition> back = seen_from(bytes);
  ASSERT_TRUE(back);
  EXPECT_EQ(seen_bytes(*back), bytes);
  EXPECT_EQ(back->bands[1].rest_s, 0.1);
  EXPECT_EQ(back->rows[2].sensed, 7);
  EXPECT_FALSE(seen_from(std::string_view(bytes).substr(0, bytes.size() - 1)));
}

TEST(SeenRecord, KeyFollowsConditionScenarioAndTable) {
  const DelayInputs inputs = sim_test::ideal_inputs();
  const DelayPlan plan = plan_delay_study(inputs);
  std::set<std::string> keys;
  for (const DelayCondition& one : plan.fit)
    keys.insert(condition_key(condition_scenario(inputs, one), one, {}));
  EXPECT_EQ(keys.size(), plan.fit.size());
  DelayCondition strip = plan.fit.front();
  strip.pass = 1;
  EXPECT_TRUE(keys.insert(condition_key(condition_scenario(inputs, strip), strip, {})).second);
  sillion_attachment_table table{};
  table.points = 1;
  const DelayCondition& first = plan.fit.front();
  const scenario::Scenario scenario = condition_scenario(inputs, first);
  EXPECT_TRUE(keys.insert(condition_key(scenario, first, table)).second);
}

TEST(SeenRecord, AStudyFromItsLedgerIsTheSameAndRunsNothing) {
  const DelayInputs inputs = sim_test::ideal_inputs();
  const support::ScratchFolder scratch;
  const auto text_with = [&](output::Ledger* ledger) {
    DelayStudy study = run_delay_study(inputs, {.ledger = ledger});
    seal(study);
    return delay_summary_json(study);
  };
  const std::string whole = text_with(nullptr);
  {
    output::Ledger ledger(output::ledger_file(scratch.path()), delay_owner(inputs.scenario), false);
    EXPECT_EQ(text_with(&ledger), whole);
    ledger.close();
  }
  const std::int64_t pieces = support::pieces_in(scratch.path());
  EXPECT_GT(pieces, 20);
  support::change_ledger(scratch.path(), "UPDATE piece SET rowid = rowid + 1000000");
  {
    output::Ledger ledger(output::ledger_file(scratch.path()), delay_owner(inputs.scenario), true);
    EXPECT_EQ(text_with(&ledger), whole);
    ledger.close();
  }
  sim::output::Database database(output::ledger_file(scratch.path()), output::Access::kRead);
  EXPECT_EQ(database.number_of("SELECT count(*) FROM piece WHERE rowid > 1000000"), pieces);
  EXPECT_EQ(database.number_of("SELECT count(*) FROM piece"), pieces);
}

}  // namespace
}  // namespace sim::delay
