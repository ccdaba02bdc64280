// A pass reads back from its bytes as it was recorded, requirements over time included, and a sweep
// that finds its passes runs none of them and gives the same bytes.
#include "sim/study/sweep/pass_record.h"

#include <gtest/gtest.h>

#include <map>
#include <mutex>

#include "sim/study/sweep/sweep_page.h"
#include "tests/support/run_program.h"
#include "tests/support/small_study.h"

namespace sim::sweep {
namespace {

using Place = std::pair<std::size_t, std::size_t>;  // group, and index of the pass

/// The result as its files say it; passes come from `kept`, or go there.
std::string swept(const Study& study, std::map<Place, std::string>& kept, bool find) {
  std::mutex one;
  SweepOptions options;
  options.find_pass = [&](const CellPlan& plan, std::size_t index) -> std::optional<FinishedPass> {
    const std::lock_guard lock(one);
    const auto found = kept.find({plan.group, index});
    return find && found != kept.end() ? pass_from(found->second) : std::nullopt;
  };
  options.keep_pass = [&](const CellPlan& plan, std::size_t index, const FinishedPass& done) {
    const std::lock_guard lock(one);
    EXPECT_TRUE(kept.emplace(Place{plan.group, index}, pass_bytes(done)).second);
  };
  SweepResult result = run_sweep(study, options);
  seal(result);
  return sweep_summary_json(result) + cells_csv(result) +
         sweep_report_html(result, output::Units::kMetric);
}

Study small_study(const std::vector<std::string>& sets = {}) {
  const support::ScratchFolder scratch;
  return load_study(support::write_small_study(scratch.path()), sets);
}

TEST(PassRecord, ASweepFromItsPassesIsTheSameToTheByteAndRunsNone) {
  const Study over_time =
      small_study({"require=[]", "require[0].always=supply pressure", "require[0].at_least=0.1 bar",
                   "require[0].while=commanded"});
  for (const Study& study : {small_study(), over_time}) {
    std::map<Place, std::string> kept;
    const std::string first = swept(study, kept, false);
    const std::size_t passes = kept.size();
    ASSERT_GE(passes, 4u);
    EXPECT_EQ(swept(study, kept, true), first) << study.name;
    EXPECT_EQ(kept.size(), passes) << study.name;
    // With some of them gone, only these run again.
    for (const Place& lost : {Place{0, 1}, Place{1, 0}}) kept.erase(lost);
    EXPECT_EQ(swept(study, kept, true), first) << study.name;
    EXPECT_EQ(kept.size(), passes) << study.name;
  }
}

TEST(PassRecord, BytesThatAreCutAreNothing) {
  FinishedPass pass{.simulated_s = 3.0};
  pass.rows.resize(2);
  pass.rows[1].seeds.resize(3);
  pass.rows[1].density.volume_m3pm = {1.0, 2.0};
  pass.rows[0].signals.kept = true;
  pass.rows[0].signals.on[0] = {{1.0, 2.0}};
  const std::string bytes = pass_bytes(pass);
  const std::optional<FinishedPass> back = pass_from(bytes);
  ASSERT_TRUE(back);
  EXPECT_EQ(pass_bytes(*back), bytes);
  EXPECT_EQ(back->rows[1].seeds.size(), 3u);
  EXPECT_EQ(back->rows[0].signals.on[0].size(), 1u);
  for (std::size_t size = 0; size < bytes.size(); size += 7)
    EXPECT_FALSE(pass_from(std::string_view(bytes).substr(0, size))) << size;
  EXPECT_FALSE(pass_from(bytes + "x"));
}

}  // namespace
}  // namespace sim::sweep
