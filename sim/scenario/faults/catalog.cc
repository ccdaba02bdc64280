#include "sim/scenario/faults/catalog.h"

#include <string_view>
#include <type_traits>
#include <utility>

#include "shared/check.h"

namespace sim {
namespace {

// Carries an entry's values into the fault's own fields.
struct FromEntry {
  const FaultEntry& entry;
  void operator()(std::string_view key, double& value_si, std::string_view) const {
    EXPECTS(key == "by" || key == "amount");
    value_si = key == "by" ? entry.by_s : entry.amount_ratio;
  }
};

struct IntoKind {
  FaultKind& kind;
  void operator()(std::string_view key, double&, std::string_view help) const {
    kind.keys.emplace_back(key);
    kind.key_helps.emplace_back(help);
  }
};

template <std::size_t... I>
std::vector<FaultKind> kinds_of(std::index_sequence<I...>) {
  std::vector<FaultKind> kinds;
  const auto add = [&]<class Any>(Any fault) {
    FaultKind kind{Any::kName, Any::kHelp, {}, {}};
    IntoKind field{kind};
    describe(fault, field);
    kinds.push_back(kind);
  };
  (add(std::variant_alternative_t<I, Fault>{}), ...);
  return kinds;
}

using Indices = std::make_index_sequence<std::variant_size_v<Fault>>;

template <std::size_t I = 0>
Fault fault_of(const FaultEntry& entry) {
  if constexpr (I == std::variant_size_v<Fault>) {
    EXPECTS(false && "the loader refuses unknown faults");
    return {};
  } else {
    using Any = std::variant_alternative_t<I, Fault>;
    if (entry.kind != Any::kName) return fault_of<I + 1>(entry);
    Any fault;
    FromEntry field{entry};
    describe(fault, field);
    return fault;
  }
}

// Applies every fault that is on for the row and that knows this seam.
template <class Seam>
void bend_all(const Scenario& scenario, int row, double time_s, Seam& seam) {
  for (const FaultEntry& entry : scenario.faults) {
    if (entry.row >= 0 && entry.row != row) continue;
    if (time_s < entry.from_s || time_s >= entry.until_s) continue;
    std::visit(
        [&](const auto& fault) {
          if constexpr (requires { bend(fault, seam); }) bend(fault, seam);
        },
        fault_of(entry));
  }
}

}  // namespace

const std::vector<FaultKind>& fault_kinds() {
  static const std::vector<FaultKind> kinds = kinds_of(Indices{});
  return kinds;
}

PlantSeam plant_at(const Scenario& scenario, int row, double time_s) {
  PlantSeam seam;
  bend_all(scenario, row, time_s, seam);
  return seam;
}

EdgeSeam bend_edge(const Scenario& scenario, int row, double edge_s, double uniform_ratio) {
  EdgeSeam seam{edge_s, false, uniform_ratio};
  bend_all(scenario, row, edge_s, seam);
  return seam;
}

}  // namespace sim
