#include "sim/study/search/shrink_case.h"

#include <algorithm>

#include "sim/study/search/shrink.h"

namespace sim::search {
namespace {

// A quantity is then known to 1/64 of its way from the scenario's own value.
constexpr int kHalvings = 6;
constexpr int kFaultHalvings = 4;

class Shrinking {
 public:
  Shrinking(const Search& search, const SearchPass& found, const JudgeChanges& judge)
      : search_(search), found_(found), judge_(judge), now_(found.changes), judged_(found.judged) {}

  ShrunkCase shrunk() {
    const std::size_t before = count();
    leave_out();
    // Changes that have become smaller may need each other no longer, so leaving out is tried again
    // until nothing can be left out of what is saved.
    for (std::size_t left = 0; left != count();) {
      left = count();
      make_smaller();
      leave_out();
    }
    return {now_, judged_, static_cast<int>(before), passes_};
  }

 private:
  /// Whether these changes fail in the same way; keeps the verdict of those that do.
  bool fails(const Changes& changes) {
    ++passes_;
    const JudgedPass judged = judge_(changes);
    const bool same =
        judged.state == found_.judged.state && judged.requirement == found_.judged.requirement;
    if (same) judged_ = judged;
    return same;
  }

  std::size_t count() const { return words_of(search_, now_).size(); }

  void make_smaller() {
    for (std::size_t k = 0; k < now_.values.size(); ++k)
      if (!now_.values[k].empty() && search_.ranges[k].values.empty()) move_back(k);
    for (FaultPick& pick : now_.faults)
      if (!pick.kind.empty()) weaken(pick);
  }

  /// What is left fails, and no single change can be left out of it.
  void leave_out() {
    const Changes all = now_;
    const JudgedPass judged_of_all = judged_;
    const std::size_t ranges = now_.values.size();
    Kept changed;
    for (std::size_t k = 0; k < ranges; ++k)
      if (!now_.values[k].empty()) changed.push_back(k);
    for (std::size_t k = 0; k < now_.faults.size(); ++k)
      if (!now_.faults[k].kind.empty()) changed.push_back(ranges + k);
    const auto only = [&](const Kept& kept) {
      Changes changes = no_changes(search_);
      for (const std::size_t index : kept) {
        const std::size_t k = changed[index];
        if (k < ranges)
          changes.values[k] = all.values[k];
        else
          changes.faults[k - ranges] = all.faults[k - ranges];
      }
      return changes;
    };
    // The whole list and the empty one are known: the one fails, the other is the scenario.
    const Kept kept = fewest_changes(changed.size(), [&](const Kept& some) {
      if (some.empty() || some.size() == changed.size()) return !some.empty();
      return fails(only(some));
    });
    now_ = only(kept);
    judged_ = kept.size() == changed.size() ? judged_of_all : judged_of(now_);
  }

  JudgedPass judged_of(const Changes& changes) {
    fails(changes);
    return judged_;
  }

  void move_back(std::size_t k) {
    const scenario::StudyAxis& range = search_.ranges[k];
    const double own_si = base_value_si(search_, range);  // tidy: unit is the key's
    const double far_si =
        text::parse_quantity(now_.values[k], range.draw.kind).value_si;  // tidy: unit the key's
    least_share_ratio(kHalvings, [&](double share_ratio) {
      Changes nearer = now_;
      nearer.values[k] = written_value(range, own_si + share_ratio * (far_si - own_si));
      return take_if_fails(nearer);
    });
  }

  void weaken(FaultPick& pick) {
    const FaultPick worst = pick;
    for (int severity = 0; severity < static_cast<int>(worst.severity); ++severity) {
      Changes milder = now_;
      FaultPick& there = milder.faults[static_cast<std::size_t>(&pick - now_.faults.data())];
      there.severity = static_cast<scenario::Severity>(severity);
      if (take_if_fails(milder)) break;
    }
    const double longest_s = pick.lasts_s;
    least_share_ratio(kFaultHalvings, [&](double share_ratio) {
      Changes shorter = now_;
      FaultPick& there = shorter.faults[static_cast<std::size_t>(&pick - now_.faults.data())];
      there.lasts_s = share_ratio * longest_s;
      return take_if_fails(shorter);
    });
  }

  bool take_if_fails(const Changes& changes) {
    if (!fails(changes)) return false;
    // In place, because `weaken` holds a fault of it.
    std::copy(changes.values.begin(), changes.values.end(), now_.values.begin());
    std::copy(changes.faults.begin(), changes.faults.end(), now_.faults.begin());
    return true;
  }

  const Search& search_;
  const SearchPass& found_;
  const JudgeChanges& judge_;
  Changes now_;
  JudgedPass judged_;
  int passes_ = 0;
};

}  // namespace

ShrunkCase shrink_case(const Search& search, const SearchPass& found, const JudgeChanges& judge) {
  return Shrinking(search, found, judge).shrunk();
}

}  // namespace sim::search
