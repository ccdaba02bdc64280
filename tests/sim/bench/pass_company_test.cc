// A pass gives the same bits, or the same error, alone and in company with passes of other length,
// speed, liquid, pressure and step, and so do its progress and what is watched.
#include "sim/bench/pass_company.h"

#include <gtest/gtest.h>

#include <atomic>
#include <bit>
#include <deque>

#include "sim/bench/controller_host.h"
#include "sim/bench/row_team.h"
#include "sim/bench/running_pass.h"
#include "sim/study/tune/tune_once.h"
#include "tests/sim/demo_scenario.h"

namespace {

using sim::bench::PassJob;
using sim::bench::PassOptions;
using sim::bench::PassOutcome;
using sim::scenario::Scenario;

Scenario small(std::vector<std::string> more = {}) {
  for (const char* set : {"seeds=30", "row.count=1", "controller.row_trim=false"})
    more.insert(more.begin(), set);
  return sim_test::demo(more);
}

sillion_attachment_table table() {
  static const sillion_attachment_table tuned = sim::tune::tune_once(small()).table;
  return tuned;
}

/// What a pass gave: figures as bits, the words of its error, and all that it told.
struct Gave {
  std::vector<std::uint64_t> bits;
  std::string error;
  std::vector<double> told_ratio;
  std::vector<double> second_m3;
  bool operator==(const Gave&) const = default;
};

void add_bits(const sim::bench::PassRecord& record, std::vector<std::uint64_t>& bits) {
  const auto add = [&](double value) {  // tidy: unit of any figure
    bits.push_back(std::bit_cast<std::uint64_t>(value));
  };
  add(record.simulated_s);
  add(record.watched_delivery_s);
  for (const int fault : record.idle_faults) bits.push_back(static_cast<std::uint64_t>(fault));
  for (const sim::measure::RowRecord& row : record.rows) {
    bits.push_back(static_cast<std::uint64_t>(row.steps));
    for (const double figure : {row.applied_volume_m3, row.inlet_volume_m3, row.jet_speed_sum_mps,
                                row.balance_residual_m3})
      add(figure);
    for (const sim::measure::BandRecord& band : row.bands)
      for (const double figure : {band.open_s, band.close_s, band.start_x_ground_m,
                                  band.end_x_ground_m, band.centre_x_ground_m, band.dose_m3})
        add(figure);
  }
}

Gave given(const PassOutcome& outcome) {
  Gave gave;
  if (outcome.failed == nullptr) {
    add_bits(outcome.record, gave.bits);
    return gave;
  }
  try {
    std::rethrow_exception(outcome.failed);
  } catch (const sim::bench::ControllerError& error) {
    gave.error = "controller, row " + std::to_string(error.row) + ", " +
                 std::to_string(error.at_s) + " s: " + error.what();
  } catch (const sim::bench::BenchError& error) {
    gave.error = std::string("bench: ") + error.what();
  } catch (const sim::bench::Interrupted& error) {
    gave.error = error.what();
  }
  return gave;
}

PassOutcome alone(const PassJob& job) {
  PassOutcome outcome;
  try {
    outcome.record = run_pass(job.scenario, job.table, job.trim_um, job.options);
  } catch (...) {
    outcome.failed = std::current_exception();
  }
  return outcome;
}

struct Company {
  std::vector<PassJob> jobs;
  std::vector<double> stop_at_ratio;
  std::vector<Gave> told;
  std::deque<std::atomic<bool>> stops;

  /// Asks the pass to stop once it has told `stop_ratio`.
  void add(const Scenario& scenario, const PassOptions& options = {}, double stop_ratio = 2.0) {
    jobs.push_back({.scenario = scenario, .table = table(), .trim_um = {}, .options = options});
    stop_at_ratio.push_back(stop_ratio);
  }
  void listen() {
    told.assign(jobs.size(), {});
    stops.clear();
    for (std::size_t k = 0; k < jobs.size(); ++k) {
      std::atomic<bool>& stop = stops.emplace_back(false);
      jobs[k].options.stop = &stop;
      jobs[k].options.on_progress = [this, k, &stop](double ratio) {
        told[k].told_ratio.push_back(ratio);
        if (ratio >= stop_at_ratio[k]) stop = true;
      };
      jobs[k].options.on_second = [this, k](const sim::bench::LiveSecond& second) {
        told[k].second_m3.push_back(second.liquid_m3);
      };
    }
  }
  std::vector<Gave> run(bool together) {
    listen();
    std::vector<PassOutcome> outcomes;
    if (together) outcomes = sim::bench::run_passes(jobs);
    for (const PassJob& job : jobs)
      if (!together) outcomes.push_back(alone(job));
    std::vector<Gave> all;
    for (std::size_t k = 0; k < jobs.size(); ++k) {
      all.push_back(given(outcomes[k]));
      all.back().told_ratio = told[k].told_ratio;
      all.back().second_m3 = told[k].second_m3;
    }
    return all;
  }
  /// What each gave alone, once it is shown to be the same in company.
  std::vector<Gave> run_both() {
    std::vector<Gave> one = run(false);
    const std::vector<Gave> other = run(true);
    for (std::size_t k = 0; k < one.size(); ++k) {
      EXPECT_EQ(one[k].error, other[k].error) << "pass " << k;
      EXPECT_TRUE(one[k] == other[k]) << "pass " << k;
    }
    return one;
  }
};

Company unlike() {
  Company company;
  company.add(small());
  company.add(small({"rng_key=7"}));
  company.add(small({"seeds=12"}));
  company.add(small({"travel.speed=\"8 km/h\""}));
  company.add(small({"liquid.name=\"water\"", "row.count=2"}));
  company.add(small({"rate.in_band=\"5 gal/ac\""}));
  company.add(small({"solver.step=\"10 us\""}));
  company.add(small({"noise.tube_length=\"0 mm\"", "rng_key=3"}));
  return company;
}

TEST(PassCompany, EveryPassGivesWhatItGivesAlone) {
  const std::vector<Gave> alone = unlike().run_both();
  // If two of them gave the same, one that took the place of another would not be seen.
  for (std::size_t k = 0; k < alone.size(); ++k) {
    EXPECT_EQ(alone[k].error, "");
    EXPECT_GT(alone[k].told_ratio.size(), 10u);
    for (std::size_t other = 0; other < k; ++other)
      EXPECT_NE(alone[k].bits, alone[other].bits) << k << " and " << other;
  }
}

TEST(PassCompany, WidthOfLanesChangesNothing) {
  const std::vector<Gave> wanted = unlike().run(false);
  for (const int lanes : sim::bench::widths_side_by_side(false)) {
    sim::bench::set_rows_side_by_side(lanes);
    EXPECT_TRUE(unlike().run(true) == wanted) << lanes << " lanes";
  }
  sim::bench::set_rows_side_by_side(0);
}

TEST(PassCompany, SinglePrecisionStandsBesideItsLike) {
  Company company;
  for (const char* key : {"rng_key=1", "rng_key=2", "rng_key=3"})
    for (const char* precision : {"double", "single"})
      company.add(small({key, std::string("solver.precision=\"") + precision + "\""}));
  const std::vector<Gave> alone = company.run_both();
  EXPECT_NE(alone[0].bits, alone[1].bits);
}

std::size_t teams_of_passes(const std::vector<Scenario>& scenarios) {
  static const PassOptions plain;
  std::deque<sim::bench::RunningPass> passes;
  std::vector<sim::bench::TeamRow> rows;
  for (const Scenario& scenario : scenarios)
    for (const auto& row : passes.emplace_back(scenario, table(), std::vector<int>{}, plain).rows())
      rows.push_back({row.get(), rows.size(), scenario.solver.single});
  return sim::bench::teams_of(rows).size();
}

// The equalities would hold as well if every row stayed alone.
TEST(PassCompany, RowsThatFitMakeOneTeamWhereverTheyStand) {
  if (sim::bench::most_side_by_side(false) < 4) GTEST_SKIP() << "no lanes for 4 rows";
  // The tube of key 1 comes to more cells than those of the others.
  const Scenario one = small({"rng_key=2"}), other = small({"rng_key=3"}),
                 fine = small({"solver.step=\"10 us\"", "rng_key=2"}),
                 single = small({"solver.precision=\"single\"", "rng_key=2"});
  EXPECT_EQ(teams_of_passes({one}), 1u);
  EXPECT_EQ(teams_of_passes({one, other}), 1u);
  EXPECT_EQ(teams_of_passes({one, small({"rng_key=1"}), other}), 2u);
  EXPECT_EQ(teams_of_passes({one, fine, other, fine}), 2u);
  EXPECT_EQ(teams_of_passes({one, single, other, single}), 2u);
}

TEST(PassCompany, FaultsOfAPassStayItsOwn) {
  Company company;
  company.add(small());
  company.add(small({"fault=[{kind = \"lost_frames\", amount = \"60 %\"}]"}));
  company.add(
      small({"fault=[{kind = \"plugged_outlet\", row = 0, from = \"1 s\", amount = \"50 "
             "%\"}, {kind = \"leaking_valve\", row = 0, from = \"90 s\", amount = \"10 "
             "%\"}]"}));
  const std::vector<Gave> alone = company.run_both();
  EXPECT_NE(alone[0].bits, alone[1].bits);
  EXPECT_NE(alone[0].bits, alone[2].bits);
}

TEST(PassCompany, AnErrorOfAPassIsThatOfThePassAlone) {
  sim::bench::set_host_settings({.trusts_foreign = true});
  Company company;
  company.add(small());
  for (const char* name : {"uses_channel_200", "sends_255_bytes", "divides_by_zero"})
    company.add(small({"row.count=3", std::string("controller.library=\"") + SILLION_BINARY_DIR +
                                          "/tests/libhostile_" + name + ".so\""}));
  company.add(small({"rng_key=2"}), {}, 0.4);
  company.add(small({"rng_key=3"}));
  const std::vector<Gave> alone = company.run_both();
  sim::bench::set_host_settings({});
  EXPECT_EQ(alone[0].error, "");
  EXPECT_NE(alone[1].error.find("channel 200"), std::string::npos) << alone[1].error;
  EXPECT_NE(alone[2].error.find("255 bytes"), std::string::npos) << alone[2].error;
  EXPECT_NE(alone[3].error.find("division"), std::string::npos) << alone[3].error;
  EXPECT_EQ(alone[4].error, "interrupted");
  EXPECT_GT(alone[4].told_ratio.size(), 3u);
  EXPECT_LT(alone[4].told_ratio.back(), 0.6);
  EXPECT_EQ(alone[5].error, "");
}

TEST(PassCompany, PassesThatDoNotGoWithOthersRunAsWell) {
  Company company;
  company.add(small());
  company.add(small({"supply.harness_resistance=\"0.3 ohm\"", "row.count=2"}));
  company.add(small(), {.watch = {0, sim::bench::kWatchTypical}, .until_watched = true});
  company.add(small(), {.watch = {0, 3}});
  company.add(small({"rng_key=2"}), {.share_ratio = 0.5});
  company.add(small({"rng_key=3"}), {.share_ratio = 0.0});
  const std::vector<Gave> alone = company.run_both();
  for (std::size_t k = 1; k < alone.size(); ++k) EXPECT_NE(alone[k].bits, alone[0].bits) << k;
}

TEST(PassCompany, ControllersApartGiveTheSame) {
  sim::bench::set_host_settings({.reference_apart = true});
  Company company;
  company.add(small());
  company.add(small({"rng_key=2"}));
  const std::vector<Gave> alone = company.run_both();
  sim::bench::set_host_settings({});
  EXPECT_EQ(alone[0].error, "");
}

}  // namespace
