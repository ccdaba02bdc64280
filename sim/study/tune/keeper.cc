#include "sim/study/tune/keeper.h"

#include <utility>

namespace sim::tune {
namespace {

Keeper& in_use() {
  static Keeper keeper;
  return keeper;
}

}  // namespace

KeeperInUse::KeeperInUse(Keeper keeper) { in_use() = std::move(keeper); }

KeeperInUse::~KeeperInUse() { in_use() = {}; }

std::optional<std::string> found_before(const std::string& kind, const std::string& inputs) {
  if (!in_use().find) return std::nullopt;
  return in_use().find(kind, inputs);
}

void keep_found(const std::string& kind, const std::string& inputs, const std::string& found) {
  if (in_use().keep) in_use().keep(kind, inputs, found);
}

}  // namespace sim::tune
