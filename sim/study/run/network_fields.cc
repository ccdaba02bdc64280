#include "sim/study/run/network_fields.h"

#include <cmath>
#include <nlohmann/json.hpp>

#include "sim/output/html.h"
#include "sim/output/json_text.h"
#include "sim/output/number_text.h"

namespace sim::run {
namespace {

using Json = nlohmann::ordered_json;

bool power_stated(const scenario::PowerSection& power) {
  return power.awake_a > 0.0 || power.asleep_a > 0.0 || power.transmit_a > 0.0 ||
         power.receive_a > 0.0;
}

double mean_s(const bench::Delays& delays) {
  return delays.frames == 0
             ? statistics::kNone_ratio
             : 1e-9 * static_cast<double>(delays.sum_ns) / static_cast<double>(delays.frames);
}

double most_s(const bench::Delays& delays) {
  return delays.frames == 0 ? statistics::kNone_ratio : 1e-9 * static_cast<double>(delays.most_ns);
}

/// Share of the pass in which a frame or an error was on the bus.
double busy_ratio(const RunResult& result) {
  const auto& power = result.record.network.power;
  const double lasted_s = power.empty() ? 0.0 : power.front().lasted_s;
  return lasted_s > 0.0 ? 1e-9 * static_cast<double>(result.record.network.cab.busy_ns) / lasted_s
                        : statistics::kNone_ratio;
}

Json way_fields(const bench::RadioWay& way) {
  return {{"sent", way.sent},
          {"failed", way.failed},
          {"lost", way.lost},
          {"repeated", way.repeated},
          {"received", way.delays.frames},
          {"mean_delay_s", output::number_or_null(mean_s(way.delays))},
          {"largest_delay_s", output::number_or_null(most_s(way.delays))}};
}

Json cab_fields(const RunResult& result) {
  const bench::CabCounts& cab = result.record.network.cab;
  return {{"frames", cab.frames},
          {"error_frames", cab.errors},
          {"busy_ratio", output::number_or_null(busy_ratio(result))},
          {"bus_offs", cab.bus_offs},
          {"speed_frames", cab.speed_frames},
          {"speed_lost", cab.speed_lost},
          {"mean_delay_s", output::number_or_null(mean_s(cab.delays))},
          {"largest_delay_s", output::number_or_null(most_s(cab.delays))}};
}

Json power_fields(const std::vector<bench::RowPower>& rows) {
  Json list = Json::array();
  for (const bench::RowPower& row : rows)
    list.push_back({{"coil_j", output::number_or_null(row.coil_j)},
                    {"awake_s", output::number_or_null(row.awake_s)},
                    {"transmit_s", output::number_or_null(row.transmit_s)},
                    {"receive_s", output::number_or_null(row.receive_s)},
                    {"mean_a", output::number_or_null(row.mean_a)},
                    {"mean_w", output::number_or_null(row.mean_w)}});
  return list;
}

std::string ms(double time_s) {
  return std::isfinite(time_s) ? output::fixed_text(time_s * 1e3, 2) + " ms" : "none came";
}

void add_way(output::Table& table, const std::string& name, const bench::RadioWay& way) {
  table.lines.push_back({name + ": frames sent; failed in a full queue",
                         std::to_string(way.sent) + "; " + std::to_string(way.failed)});
  table.lines.push_back({name + ": lost on the air; came twice",
                         std::to_string(way.lost) + "; " + std::to_string(way.repeated)});
  table.lines.push_back(
      {name + ": delay, mean; largest", ms(mean_s(way.delays)) + "; " + ms(most_s(way.delays))});
}

void add_cab(output::Table& table, const RunResult& result) {
  const bench::CabCounts& cab = result.record.network.cab;
  table.lines.push_back({"Bus in the cab: frames; error frames",
                         std::to_string(cab.frames) + "; " + std::to_string(cab.errors)});
  table.lines.push_back({"Bus in the cab: share of the time in use",
                         output::fixed_text(100.0 * busy_ratio(result), 1) + " %"});
  table.lines.push_back(
      {"Bus in the cab: times that a node went bus off", std::to_string(cab.bus_offs)});
  table.lines.push_back({"Speed frames; of them lost",
                         std::to_string(cab.speed_frames) + "; " + std::to_string(cab.speed_lost)});
  table.lines.push_back({"Speed frames: delay, mean; largest",
                         ms(mean_s(cab.delays)) + "; " + ms(most_s(cab.delays))});
}

}  // namespace

bool network_stated(const scenario::Scenario& scenario) {
  const scenario::NetworkSection& network = scenario.network;
  return network.radio.period_s > 0.0 || network.cab.simulated || power_stated(network.power);
}

Json network_fields(const RunResult& result) {
  const scenario::NetworkSection& stated = result.scenario.network;
  const bench::NetworkRecord& network = result.record.network;
  Json object = Json::object();
  if (stated.radio.period_s > 0.0)
    object["radio"] = {{"down", way_fields(network.down)}, {"up", way_fields(network.up)}};
  if (stated.cab.simulated) object["cab"] = cab_fields(result);
  if (power_stated(stated.power)) object["power"] = power_fields(network.power);
  return object;
}

std::string network_section(const RunResult& result) {
  if (!network_stated(result.scenario)) return "";
  const scenario::NetworkSection& stated = result.scenario.network;
  const bench::NetworkRecord& network = result.record.network;
  output::Table table{"Frames between machine, rows and cab, and what a row's electronics drew.",
                      {"What", "Value"},
                      {},
                      1};
  if (stated.radio.period_s > 0.0) {
    add_way(table, "Radio to the rows", network.down);
    add_way(table, "Radio to the machine", network.up);
  }
  if (stated.cab.simulated) add_cab(table, result);
  if (power_stated(stated.power))
    for (std::size_t row = 0; row < network.power.size(); ++row)
      table.lines.push_back({"Row " + std::to_string(row) + ": mean power; mean current",
                             output::fixed_text(network.power[row].mean_w, 3) + " W; " +
                                 output::fixed_text(1e3 * network.power[row].mean_a, 1) + " mA"});
  return output::section_html("Network", output::table_html(table));
}

}  // namespace sim::run
