#include "sim/study/search/shrink.h"

#include <algorithm>
#include <map>

#include "shared/check.h"

namespace sim::search {
namespace {

/// The list in `parts` pieces that differ in length by one at most.
std::vector<Kept> pieces_of(const Kept& all, std::size_t parts) {
  std::vector<Kept> pieces;
  std::size_t from = 0;
  for (std::size_t k = 0; k < parts; ++k) {
    const std::size_t to = from + (all.size() - from) / (parts - k);
    pieces.emplace_back(all.begin() + static_cast<std::ptrdiff_t>(from),
                        all.begin() + static_cast<std::ptrdiff_t>(to));
    from = to;
  }
  return pieces;
}

Kept without(const Kept& all, const Kept& piece) {
  Kept rest;
  std::set_difference(all.begin(), all.end(), piece.begin(), piece.end(), std::back_inserter(rest));
  return rest;
}

}  // namespace

Kept fewest_changes(std::size_t count, const std::function<bool(const Kept& kept)>& fails) {
  std::map<Kept, bool> known;
  const auto still = [&](const Kept& kept) {
    const auto found = known.find(kept);
    return found != known.end() ? found->second : known.emplace(kept, fails(kept)).first->second;
  };
  Kept kept(count);
  for (std::size_t k = 0; k < count; ++k) kept[k] = k;
  if (still({})) return {};
  EXPECTS(count >= 1 && still(kept));
  std::size_t parts = 2;
  while (kept.size() >= 2) {
    const std::vector<Kept> pieces = pieces_of(kept, parts);
    const auto alone = std::find_if(pieces.begin(), pieces.end(), still);
    if (alone != pieces.end()) {
      kept = Kept(*alone);
      parts = 2;
      continue;
    }
    const auto spare = std::find_if(pieces.begin(), pieces.end(), [&](const Kept& piece) {
      return parts > 2 && still(without(kept, piece));
    });
    if (spare != pieces.end()) {
      kept = without(kept, Kept(*spare));
      parts = std::max<std::size_t>(parts - 1, 2);
    } else if (parts < kept.size()) {
      parts = std::min(2 * parts, kept.size());
    } else {
      break;
    }
  }
  return kept;
}

double least_share_ratio(int halvings, const std::function<bool(double share_ratio)>& fails) {
  double holds_ratio = 0.0, fails_ratio = 1.0;
  for (int k = 0; k < halvings; ++k) {
    const double middle_ratio = 0.5 * (holds_ratio + fails_ratio);
    (fails(middle_ratio) ? fails_ratio : holds_ratio) = middle_ratio;
  }
  return fails_ratio;
}

}  // namespace sim::search
