#include "sim/scenario/faults/catalog.h"

#include <algorithm>
#include <atomic>
#include <string_view>
#include <type_traits>
#include <utility>

#include "shared/check.h"

namespace sim::scenario {
namespace {

using Words = std::span<const std::string_view>;

// Copies an entry's values into the fields of the fault.
struct FromEntry {
  const FaultEntry& entry;
  void operator()(std::string_view key, double& value_si, std::string_view) const {
    EXPECTS(key == "by" || key == "amount");
    value_si = key == "by" ? entry.by_s : entry.amount_ratio;
  }
  void operator()(std::string_view key, int& word, Words, std::string_view) const {
    EXPECTS(key == "cause" || key == "retained");
    word = key == "cause" ? entry.cause : entry.retained;
  }
  void operator()(std::string_view key, int& number, WholeRange, std::string_view) const {
    EXPECTS(key == "write" || key == "bytes" || key == "page" || key == "bits");
    number = key == "write"   ? entry.write
             : key == "bytes" ? entry.bytes
             : key == "page"  ? entry.page
                              : entry.bits;
  }
};

struct IntoKind {
  FaultKind& kind;
  void operator()(std::string_view key, double&, std::string_view help) const {
    kind.keys.push_back({std::string(key), std::string(help), {}});
  }
  void operator()(std::string_view key, int&, Words words, std::string_view help) const {
    kind.keys.push_back({std::string(key), std::string(help), words});
  }
  void operator()(std::string_view key, int&, WholeRange range, std::string_view help) const {
    kind.keys.push_back({std::string(key), std::string(help), {}, range});
  }
};

/// Whether a fault bends what reaches a controller.
template <class Any>
constexpr bool disturbs_controller() {
  return requires(const Any& fault, EdgeSeam& seam) { bend(fault, seam); } ||
         requires(const Any& fault, BusSeam& seam) { bend(fault, seam); } ||
         requires(const Any& fault, FrameSeam& seam) { bend(fault, seam); } ||
         requires(const Any& fault, RestartSeam& seam) { bend(fault, seam); } ||
         requires(const Any& fault, WatchdogSeam& seam) { bend(fault, seam); } ||
         requires(const Any& fault, StorageSeam& seam) { bend(fault, seam); } ||
         requires { Any::kOfSpeed; };
}

template <std::size_t... I>
std::vector<FaultKind> kinds_of(std::index_sequence<I...>) {
  std::vector<FaultKind> kinds;
  const auto add = [&]<class Any>(Any fault) {
    FaultKind kind{Any::kName, Any::kHelp, {}};
    if constexpr (requires { Any::kOnce; }) kind.once = Any::kOnce;
    if constexpr (requires { Any::kOfMachine; }) kind.of_machine = Any::kOfMachine;
    if constexpr (requires { Any::kOfStorage; }) kind.of_storage = Any::kOfStorage;
    kind.disturbs = disturbs_controller<Any>();
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

template <class Seam>
void bend_one(const FaultEntry& entry, Seam& seam) {
  std::visit(
      [&](const auto& fault) {
        if constexpr (requires { bend(fault, seam); }) bend(fault, seam);
      },
      fault_of(entry));
}

RestartSeam restart_of(const Scenario& scenario, const FaultEntry& entry, bool machine) {
  RestartSeam seam{.machine = machine,
                   .supply_v = scenario.supply.voltage_v,
                   .brown_out_v = scenario.controller.brown_out_v,
                   .brown_out_time_s = scenario.controller.brown_out_time_s};
  bend_one(entry, seam);
  return seam;
}

// Applies every fault that is active for the row and that acts on this seam.
template <class Seam>
void bend_all(const Scenario& scenario, int row, double time_s, Seam& seam) {
  for (std::size_t k = 0; k < scenario.faults.size(); ++k) {
    const FaultEntry& entry = scenario.faults[k];
    if (entry.row >= 0 && entry.row != row) continue;
    if (time_s < entry.from_s || time_s >= entry.until_s) continue;
    const Seam before = seam;
    bend_one(entry, seam);
    if (seam == before) continue;
    if constexpr (requires { seam.entry_from_s; }) seam.entry_from_s = entry.from_s;
    if (scenario.fault_marks) scenario.fault_marks->acted[k].store(true, std::memory_order_relaxed);
  }
}

}  // namespace

const std::vector<FaultKind>& fault_kinds() {
  static const std::vector<FaultKind> kinds = kinds_of(Indices{});
  return kinds;
}

bool any_fault_disturbs(const Scenario& scenario) {
  const auto disturbs = [](const FaultEntry& fault) {
    return std::ranges::any_of(fault_kinds(), [&](const FaultKind& kind) {
      return kind.name == fault.kind && kind.disturbs;
    });
  };
  return std::ranges::any_of(scenario.faults, disturbs);
}

PlantSeam plant_at(const Scenario& scenario, int row, double time_s) {
  PlantSeam seam;
  bend_all(scenario, row, time_s, seam);
  return seam;
}

EdgeSeam bend_edge(const Scenario& scenario, int row, EdgeSeam edge) {
  bend_all(scenario, row, edge.at_s, edge);
  return edge;
}

BusSeam bus_at(const Scenario& scenario, double time_s) {
  BusSeam seam;
  bend_all(scenario, kMachine, time_s, seam);
  return seam;
}

SupplySeam supply_at(const Scenario& scenario, double time_s) {
  SupplySeam seam{.at_s = time_s};
  bend_all(scenario, kMachine, time_s, seam);
  return seam;
}

CabSeam cab_at(const Scenario& scenario, double time_s) {
  CabSeam seam;
  bend_all(scenario, kMachine, time_s, seam);
  return seam;
}

InputSeam inputs_at(const Scenario& scenario, double time_s) {
  InputSeam seam;
  bend_all(scenario, kMachine, time_s, seam);
  return seam;
}

FrameSeam bend_frame(const Scenario& scenario, int row, double time_s, FrameSeam frame) {
  bend_all(scenario, row, time_s, frame);
  return frame;
}

bool kick_hidden(const Scenario& scenario, int row, double time_s) {
  WatchdogSeam seam{.machine = row == kMachine};
  bend_all(scenario, row, time_s, seam);
  return seam.kick_hidden;
}

std::vector<Restart> restarts_of(const Scenario& scenario, int row) {
  std::vector<Restart> restarts;
  for (const FaultEntry& entry : scenario.faults) {
    if (entry.row >= 0 && entry.row != row) continue;
    const RestartSeam seam = restart_of(scenario, entry, row == kMachine);
    if (seam.asked)
      restarts.push_back({entry.from_s + seam.after_s, seam.off_s, seam.cause, seam.retained});
  }
  std::stable_sort(restarts.begin(), restarts.end(),
                   [](const Restart& a, const Restart& b) { return a.at_s < b.at_s; });
  return restarts;
}

std::vector<StorageSeam> storage_faults(const Scenario& scenario, int row) {
  std::vector<StorageSeam> faults;
  for (std::size_t k = 0; k < scenario.faults.size(); ++k) {
    const FaultEntry& entry = scenario.faults[k];
    if (entry.row >= 0 && entry.row != row) continue;
    StorageSeam seam;
    bend_one(entry, seam);
    if (seam == StorageSeam{}) continue;
    seam.entry = static_cast<int>(k);
    faults.push_back(seam);
  }
  return faults;
}

void mark_acted(const Scenario& scenario, int entry) {
  if (!scenario.fault_marks) return;
  scenario.fault_marks->acted[static_cast<std::size_t>(entry)].store(true,
                                                                     std::memory_order_relaxed);
}

std::vector<int> idle_faults(const Scenario& scenario, double lasted_s) {
  std::vector<int> idle;
  for (std::size_t k = 0; k < scenario.faults.size(); ++k) {
    const FaultEntry& entry = scenario.faults[k];
    const bool once =
        restart_of(scenario, entry, false).asked || restart_of(scenario, entry, true).asked;
    const bool acted = once ? entry.from_s < lasted_s
                            : scenario.fault_marks->acted[k].load(std::memory_order_relaxed);
    if (!acted) idle.push_back(static_cast<int>(k));
  }
  return idle;
}

}  // namespace sim::scenario
