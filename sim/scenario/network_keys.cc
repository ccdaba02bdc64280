#include "sim/scenario/network_keys.h"

#include <algorithm>
#include <cmath>
#include <initializer_list>
#include <string>

#include "shared/row_frames.h"
#include "shared/units.h"

namespace sim::scenario {
namespace {

constexpr std::int64_t kLargestId = 0x1fffffff;  // 29 bits

std::string ms(std::int64_t time_ns) {
  return "\"" +
         text::format_quantity(1e-9 * static_cast<double>(time_ns), text::Kind::kTime, "ms") + "\"";
}

class NetworkChecks {
 public:
  NetworkChecks(const Scenario& scenario, const text::Places& places, const text::Place& file)
      : s_(scenario), places_(places), file_(file) {}

  void all() const {
    needs("network.radio.", "network.radio.period", s_.network.radio.period_s > 0.0);
    needs("network.cab.", "network.cab.simulated", s_.network.cab.simulated);
    if (s_.network.radio.period_s > 0.0) radio();
    for (std::size_t k = 0; k < s_.faults.size(); ++k) fault(k);
  }

 private:
  [[noreturn]] void wrong(const std::string& key, const std::string& message) const {
    const auto stated = places_.find(key);
    text::fail(stated == places_.end() ? file_ : stated->second, key, message);
  }

  /// The first of these keys that is stated, so that the message has a line.
  std::string stated(std::initializer_list<const char*> keys) const {
    for (const char* key : keys)
      if (places_.count(key) != 0) return key;
    return *keys.begin();
  }

  /// A key of a part that nobody switched on would change nothing.
  void needs(const std::string& prefix, const std::string& on, bool is_on) const {
    if (is_on || places_.count(on) != 0) return;
    for (const auto& [key, place] : places_)
      if (key.starts_with(prefix)) text::fail(place, key, "needs " + on + " beside it");
  }

  void radio() const {
    const RadioSection& radio = s_.network.radio;
    const int rows = s_.row.count;
    if (rows > kMostRadioRows)
      wrong(stated({"row.count", "network.radio.period"}),
            std::to_string(rows) + " rows are too many for the radio: at most " +
                std::to_string(kMostRadioRows));
    const std::int64_t slot_ns = shared::nanoseconds_of(radio.slot_s);
    const std::int64_t period_ns = shared::nanoseconds_of(radio.period_s);
    if (slot_ns * (rows + 1) > period_ns)
      wrong(stated({"network.radio.slot", "network.radio.period"}),
            std::to_string(rows + 1) + " time slots of " + ms(slot_ns) +
                " do not fit a period of " + ms(period_ns) + ": at most " +
                ms(period_ns / (rows + 1)) + " for " + std::to_string(rows) + " rows");
    const std::int64_t most_ns = air_time_ns(radio, SILLION_FRAME_BYTES);
    if (most_ns > slot_ns)
      wrong(stated({"network.radio.slot", "network.radio.bit_rate", "network.radio.overhead"}),
            "a slot of " + ms(slot_ns) + " is shorter than the air time of a frame of " +
                std::to_string(int{SILLION_FRAME_BYTES}) + " bytes, " + ms(most_ns));
  }

  void fault(std::size_t index) const {
    const FaultEntry& entry = s_.faults[index];
    const bool of_bus = entry.kind == "bus_off" || entry.kind == "busy_bus";
    if (!of_bus || s_.network.cab.simulated) return;
    const std::string key = "fault[" + std::to_string(index) + "].kind";
    throw text::InputError(entry.place + ": " + key + ": " + entry.kind +
                           " needs network.cab.simulated = true");
  }

  const Scenario& s_;
  const text::Places& places_;
  const text::Place& file_;
};

}  // namespace

std::vector<std::uint32_t> read_load_ids(const text::Node& document) {
  const std::string key = "network.cab.load_ids";
  const text::Node* list = text::find_dotted(document, key);
  if (list == nullptr) return CabSection{}.load_ids;
  if (list->kind != text::NodeKind::kArray || list->items.empty())
    text::fail(list->place, key, "must be a list of identifiers, at least one: [0x18FEF100]");
  std::vector<std::uint32_t> ids;
  for (const text::Node& item : list->items) {
    const std::string name = key + "[" + std::to_string(ids.size()) + "]";
    const auto id = static_cast<std::uint32_t>(text::read_whole(item, name, 0, kLargestId));
    const bool ours = id == SILLION_BUS_GROUND_SPEED || id == SILLION_BUS_COURSE_SPEED ||
                      id == SILLION_BUS_RATE || id == kMachineBusId;
    if (ours || std::find(ids.begin(), ids.end(), id) != ids.end())
      text::fail(item.place, name, "is sent by another node already: two would collide");
    ids.push_back(id);
  }
  return ids;
}

void check_network(const Scenario& scenario, const text::Places& places, const text::Place& file) {
  NetworkChecks(scenario, places, file).all();
}

std::int64_t air_time_ns(const RadioSection& radio, int length) {
  const double bits_ratio = 8.0 * (radio.overhead_bytes + length);
  return static_cast<std::int64_t>(std::ceil(bits_ratio * 1e9 / radio.rate_bitps));
}

}  // namespace sim::scenario
