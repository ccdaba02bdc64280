#include "sim/text/nearest.h"

#include <algorithm>
#include <vector>

namespace sim::text {

int edit_distance(std::string_view a, std::string_view b) {
  // Three rows of the table, because the swap of neighbours looks two rows back.
  std::vector<int> before(b.size() + 1), last(b.size() + 1), now(b.size() + 1);
  for (std::size_t j = 0; j <= b.size(); ++j) last[j] = static_cast<int>(j);
  for (std::size_t i = 1; i <= a.size(); ++i) {
    now[0] = static_cast<int>(i);
    for (std::size_t j = 1; j <= b.size(); ++j) {
      now[j] =
          std::min({last[j] + 1, now[j - 1] + 1, last[j - 1] + (a[i - 1] == b[j - 1] ? 0 : 1)});
      if (i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1])
        now[j] = std::min(now[j], before[j - 2] + 1);
    }
    before.swap(last);
    last.swap(now);
  }
  return last[b.size()];
}

std::string nearest_name(std::string_view typed, std::span<const std::string> names) {
  typed = typed.substr(0, 64);  // no valid name is longer; keeps hostile input cheap
  const int most = std::max(2, static_cast<int>(typed.size()) / 3);
  std::string best;
  int best_distance = most + 1;
  for (const std::string& name : names) {
    const int distance = edit_distance(typed, name);
    if (distance < best_distance) {
      best_distance = distance;
      best = name;
    }
  }
  return best;
}

}  // namespace sim::text
