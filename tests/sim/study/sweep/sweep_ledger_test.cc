// A sweep with a ledger: passes of a cell give way to the cell, an earlier ledger is looked into as
// well, and what it holds is not simulated again.
#include "sim/study/sweep/sweep_ledger.h"

#include <gtest/gtest.h>

#include "sim/bench/errors.h"
#include "sim/study/sweep/cell_record.h"
#include "sim/study/sweep/sweep_page.h"
#include "tests/support/result_folder.h"
#include "tests/support/small_study.h"

namespace sim::sweep {
namespace {

class SweepLedger : public ::testing::Test {
 protected:
  SweepLedger() { options_.on_cells = nullptr; }

  std::string text_of_result(SweepOptions options) {
    SweepResult result = run_sweep(study_, options);
    seal(result);
    return sweep_summary_json(result) + cells_csv(result);
  }

  support::ScratchFolder scratch_;
  Study study_ = load_study(support::write_small_study(scratch_.path(), "[\"3 s\", \"4 s\"]"));
  output::LedgerOwner owner_ = owner_of(hashes_of_study(study_));
  std::filesystem::path folder_ = scratch_.path() / "out";
  SweepOptions options_;
};

// The sweep is ended from within, when it has kept five passes; what was kept by then is found.
TEST_F(SweepLedger, GoesOnFromThePassesOfCellsThatHaveNotEnded) {
  const std::string whole = text_of_result({});
  std::atomic<int> ran{0};
  const auto counted = [&](output::Ledger& ledger, int most) {
    SweepOptions options;
    use_ledger(study_, ledger, nullptr, options);
    options.keep_pass = [&, keep = options.keep_pass, most](const CellPlan& plan, std::size_t index,
                                                            const FinishedPass& done) {
      if (++ran > most) throw bench::Interrupted("as if killed");
      keep(plan, index, done);
    };
    return options;
  };
  {
    output::Ledger ledger(output::ledger_file(folder_), owner_, false);
    EXPECT_THROW(run_sweep(study_, counted(ledger, 5)), bench::Interrupted);
  }
  EXPECT_GT(support::pieces_in(folder_), 0);
  ran = 0;
  output::Ledger ledger(output::ledger_file(folder_), owner_, true);
  EXPECT_EQ(text_of_result(counted(ledger, 100)), whole);
  EXPECT_EQ(ran, 12 - 5);  // six cells of two passes
  ledger.close();
  EXPECT_EQ(support::pieces_in(folder_), 6);
  EXPECT_EQ(support::kept_below(folder_).size(), 6u);
}

TEST_F(SweepLedger, LooksIntoAnEarlierLedgerAsWell) {
  const std::filesystem::path before = scratch_.path() / "before";
  std::string whole;
  {
    output::Ledger ledger(output::ledger_file(before), owner_, false);
    use_ledger(study_, ledger, nullptr, options_);
    whole = text_of_result(options_);
    ledger.close();
  }
  output::LedgerReader earlier(output::ledger_file(before), owner_);
  output::Ledger own(output::ledger_file(folder_), owner_, false);
  SweepOptions options;
  use_ledger(study_, own, &earlier, options);
  EXPECT_EQ(text_of_result(options), whole);
  own.close();
  EXPECT_EQ(support::pieces_in(folder_), 0);
  const CellPlan plan = batch_cells(study_, 2, 0).front();
  EXPECT_TRUE(cell_in(earlier, cell_inputs(study_, plan)));
  EXPECT_FALSE(cell_in(earlier, "0123456789abcdef"));
}

}  // namespace
}  // namespace sim::sweep
