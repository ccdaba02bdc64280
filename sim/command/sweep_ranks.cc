#include "sim/command/sweep_ranks.h"

#include <fmt/format.h>

#include <array>
#include <exception>
#include <functional>
#include <optional>

#include "sim/bench/errors.h"
#include "sim/command/exit_code.h"
#include "sim/command/judged_first.h"
#include "sim/command/out_lock.h"
#include "sim/command/ranks.h"
#include "sim/command/size_of_work.h"
#include "sim/command/study_ledger.h"
#include "sim/command/sudden_end.h"
#include "sim/command/sweep_keep.h"
#include "sim/command/sweep_print.h"
#include "sim/command/sweep_work.h"
#include "sim/output/write_folder.h"
#include "sim/study/sweep/cell_record.h"
#include "sim/study/sweep/merge.h"
#include "sim/study/sweep/sweep_ledger.h"
#include "sim/study/sweep/sweep_page.h"
#include "sim/text/input_error.h"

namespace sim::command {
namespace {

namespace fs = std::filesystem;

/// Ends a rank whose trouble another rank reports.
struct SilentEnd {
  int code = kBenchFailed;
};

int code_of_failure(const std::exception_ptr& failed) {
  try {
    std::rethrow_exception(failed);
  } catch (const text::InputError&) {
    return kBadInput;
  } catch (const output::OutputError&) {
    return kBadInput;
  } catch (const bench::ControllerError&) {
    return kControllerFailed;
  } catch (...) {
    return kBenchFailed;
  }
}

class RankedSweep {
 public:
  RankedSweep(const SweepOptions& options, Ranks& ranks) : options_(options), ranks_(ranks) {
    if (ranks_.rank() != 0) options_.quiet = true;
  }

  int run() {
    if (options_.dry_run) return size();
    step([&] {
      study_ = sweep::load_study(options_.input, sets_with_controller(options_, options_));
      hashes_ = sweep::hashes_of_study(study_);
      out_ = out_of(options_, study_.name);
      require_keepable(options_, study_);
    });
    require_same_study();
    if (ranks_.rank() == 0)
      step([&] { prepare(); });
    else
      step([] {});
    step([&] {
      const sweep::Shard shard{static_cast<std::size_t>(ranks_.rank()) + 1,
                               static_cast<std::size_t>(ranks_.count())};
      output::LedgerReader earlier(output::ledger_file(out_), sweep::owner_of(hashes_));
      output::Ledger own(output::rank_ledger_file(out_, ranks_.rank()), sweep::owner_of(hashes_),
                         false);
      run_part(study_, shard, {.own = &own, .earlier = &earlier}, options_,
               study_.name + ", " + ranks_.words(), ranks_.stop());
    });
    int code = kHeld;
    step([&] {
      if (ranks_.rank() == 0) code = merge();
    });
    code = ranks_.gather(code).front();
    ranks_.leave();
    return code;
  }

 private:
  /// Does a part of the work here and waits until all ranks have done theirs.
  void step(const std::function<void()>& work) {
    std::exception_ptr failed;
    try {
      work();
    } catch (const bench::Interrupted&) {
      throw;
    } catch (...) {
      failed = std::current_exception();
    }
    const int own = failed ? code_of_failure(failed) : kHeld;
    const std::vector<int> codes = ranks_.gather(own);
    std::size_t first = 0;
    while (first < codes.size() && codes[first] == kHeld) ++first;
    if (first == codes.size()) return;
    ranks_.leave();
    // What rank 0 finds wrong is said once and is the code of all.
    if (failed && (ranks_.rank() == 0 || codes.front() == kHeld)) std::rethrow_exception(failed);
    if (codes.front() != kHeld) throw SilentEnd{codes.front()};
    if (ranks_.rank() != 0) throw SilentEnd{};
    throw bench::BenchError(
        fmt::format("rank {} of {} has failed with exit code {}, as its own message says; the "
                    "cells that are finished stay. Go on with the same launcher, or without one: "
                    "{}",
                    first, codes.size(), codes[first], options_.again));
  }

  int size() {
    step([&] {
      study_ = sweep::load_study(options_.input, sets_with_controller(options_, options_));
      if (ranks_.rank() == 0) print_size_of_sweep(study_, out_of(options_, study_.name));
    });
    ranks_.leave();
    return kHeld;
  }

  void require_same_study() {
    struct Hashes {
      std::array<char, 16> study{}, controller{}, program{};
    };
    Hashes own;
    hashes_.study.copy(own.study.data(), own.study.size());
    hashes_.controller.copy(own.controller.data(), own.controller.size());
    hashes_.program.copy(own.program.data(), own.program.size());
    const std::vector<Hashes> all = ranks_.gather(own);
    step([&] {
      const Hashes& first = all.front();
      for (std::size_t rank = 1; rank < all.size() && ranks_.rank() == 0; ++rank) {
        const char* differs = all[rank].program != first.program         ? "program"
                              : all[rank].controller != first.controller ? "controller"
                              : all[rank].study != first.study           ? "study"
                                                                         : nullptr;
        if (differs != nullptr)
          throw text::InputError(
              fmt::format("rank {} of {} has another {} than rank 0: the hashes differ", rank,
                          all.size(), differs));
      }
    });
  }

  void prepare() {
    lock_.emplace(out_, options_.typed);
    require_free(out_, kSweepFiles);
    judge_first(study_, options_, ranks_.stop());
    opened_ledger(out_, sweep::owner_of(hashes_), options_.resume)->close();
    clear_results(out_);
    tell_how_to_go_on(options_, "go on with the same launcher, or without one");
  }

  int merge() {
    opened_ledger(out_, sweep::owner_of(hashes_), true)->close();
    output::LedgerReader cells(output::ledger_file(out_), sweep::owner_of(hashes_));
    const auto refuse = [&](const std::vector<sweep::MissingCell>& missing) {
      throw bench::BenchError(fmt::format(
          "{}: {} of the cells are not there, the first of rank {}: all ranks have to see one "
          "folder of results. Go on with: {}",
          out_.string(), missing.size(), missing.front().shard - 1, options_.again));
    };
    sweep::SweepResult result =
        sweep::merge_cells(study_,
                           {.shards = static_cast<std::size_t>(ranks_.count()),
                            .read =
                                [&](const sweep::CellPlan& plan) {
                                  return sweep::cell_in(cells, sweep::cell_inputs(study_, plan));
                                },
                            .refuse = refuse},
                           &ranks_.stop());
    seal(result);
    sweep::write_sweep(result, out_, options_.units);
    write_kept_passes(options_, study_, result, out_, ranks_.stop());
    tell_failed(result.cells);
    print_sweep(result, options_, out_);
    return code_of(result.cells);
  }

  SweepOptions options_;
  Ranks& ranks_;
  sweep::Study study_;
  sweep::StudyHashes hashes_;
  fs::path out_;
  std::optional<OutLock> lock_;
};

}  // namespace

int execute_in_ranks(const SweepOptions& options, const std::atomic<bool>& stop) {
  Ranks ranks(stop);
  try {
    return RankedSweep(options, ranks).run();
  } catch (const SilentEnd& end) {
    return end.code;
  } catch (const bench::Interrupted&) {
    const int speaker = ranks.dead() == 0 ? 1 : 0;
    if (ranks.dead() >= 0 && ranks.rank() == speaker)
      throw bench::BenchError(fmt::format(
          "rank {} of {} has died; the cells that are finished stay. Go on with the same launcher, "
          "or without one: {}",
          ranks.dead(), ranks.count(), options.again));
    if (ranks.dead() >= 0) return kBenchFailed;
    if (ranks.rank() == 0) throw;
    return SuddenEnd::code();
  }
}

}  // namespace sim::command
