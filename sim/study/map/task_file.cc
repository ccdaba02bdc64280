#include "sim/study/map/task_file.h"

#include <fmt/format.h>

#include <chrono>
#include <cmath>
#include <cstdint>
#include <limits>

#include "shared/check.h"
#include "sim/text/input_error.h"

namespace sim::map {
namespace {

constexpr long long kDay_ms = 86'400'000;

struct Instant {
  long long day = 0;
  long long ms = 0;
};

Instant instant_of(const MapClock& clock, double after_s) {
  const long long ms = std::llround((clock.time_of_day_s + after_s) * 1e3);
  return {clock.day + ms / kDay_ms, ms % kDay_ms};
}

template <typename Whole>
void put_whole(Whole value, std::string& bytes) {
  for (std::size_t k = 0; k < sizeof value; ++k)
    bytes += static_cast<char>((static_cast<std::uint64_t>(value) >> (8 * k)) & 0xff);
}

std::int32_t whole_of(double value_ratio, const char* what) {
  const double whole_ratio = std::round(std::isfinite(value_ratio) ? value_ratio : 0.0);
  if (std::fabs(whole_ratio) > std::numeric_limits<std::int32_t>::max())
    throw text::InputError(std::string("the task file cannot hold ") + what +
                           ": a value has 32 bits; leave it out with --format");
  return static_cast<std::int32_t>(whole_ratio);
}

/// The words of XML's own signs.
std::string escaped(const std::string& words) {
  std::string text;
  for (const char c : words) {
    if (c == '&')
      text += "&amp;";
    else if (c == '<')
      text += "&lt;";
    else if (c == '"')
      text += "&quot;";
    else
      text += static_cast<unsigned char>(c) < 0x20 ? ' ' : c;
  }
  return text;
}

/// At most 32 characters of a designator, whole ones.
std::string designator(const std::string& words) {
  std::size_t end = 0, count = 0;
  while (end < words.size() && count < 32) {
    ++end;
    while (end < words.size() && (static_cast<unsigned char>(words[end]) & 0xC0) == 0x80) ++end;
    ++count;
  }
  return escaped(words.substr(0, end));
}

/// 64 bits of a NAME: agriculture, seeders and planters, no maker (2047), may take any address.
constexpr std::uint64_t kDeviceName =
    1ull << 63 | 2ull << 60 | 4ull << 49 | 255ull << 40 | 2047ull << 21;

std::string device_xml(const KeptRun& run, const FieldPlace& place) {
  std::string xml = fmt::format(
      "<DVC A=\"DVC-1\" B=\"SIMULATED planter\" C=\"simulated\" D=\"{:016X}\" "
      "F=\"53494D554C4154\" G=\"656E5055004100\">\n"
      "<DET A=\"DET-1\" B=\"1\" C=\"1\" D=\"SIMULATED planter\" E=\"0\" F=\"0\"/>\n"
      "<DET A=\"DET-2\" B=\"2\" C=\"2\" D=\"SIMULATED starter bands\" E=\"1\" F=\"1\">"
      "<DOR A=\"103\"/></DET>\n",
      kDeviceName);
  std::string properties;
  for (std::size_t row = 0; row < run.rows; ++row) {
    const std::size_t object = 200 + 3 * row;
    xml += fmt::format(
        "<DET A=\"DET-{}\" B=\"{}\" C=\"4\" D=\"SIMULATED row {}\" E=\"{}\" F=\"2\">"
        "<DOR A=\"100\"/><DOR A=\"101\"/><DOR A=\"102\"/><DOR A=\"{}\"/><DOR A=\"{}\"/></DET>\n",
        row + 3, object, row, row + 2, object + 1, object + 2);
    properties += fmt::format(
        "<DPT A=\"{}\" B=\"0043\" C=\"{}\" D=\"Width\" E=\"1002\"/>\n"
        "<DPT A=\"{}\" B=\"0087\" C=\"{}\" D=\"Offset right\" E=\"1002\"/>\n",
        object + 1, whole_of(run.width_m * 1e3, "the row's width"), object + 2,
        whole_of(place.right_m(row) * 1e3, "the row's offset"));
  }
  return xml +
         "<DPD A=\"100\" B=\"0001\" C=\"1\" D=\"1\" E=\"Set field-average rate\" F=\"1000\"/>\n"
         "<DPD A=\"101\" B=\"0002\" C=\"1\" D=\"1\" E=\"Field-average rate\" F=\"1000\"/>\n"
         "<DPD A=\"102\" B=\"0075\" C=\"1\" D=\"1\" E=\"Distance\" F=\"1002\"/>\n"
         "<DPD A=\"103\" B=\"015F\" C=\"1\" D=\"1\" E=\"Total volume\" F=\"1001\"/>\n" +
         properties +
         "<DVP A=\"1000\" B=\"0\" C=\"0.0001\" D=\"2\" E=\"l/ha\"/>\n"
         "<DVP A=\"1001\" B=\"0\" C=\"0.001\" D=\"3\" E=\"l\"/>\n"
         "<DVP A=\"1002\" B=\"0\" C=\"0.001\" D=\"3\" E=\"m\"/>\n"
         "</DVC>\n";
}

std::string task_xml(const KeptRun& run, const FieldPlace& place) {
  double volume_m3 = 0.0, area_m2 = 0.0;
  for (const run::AppliedSecond& one : run.applied) {
    volume_m3 += one.volume_m3;
    area_m2 += worked_area_m2(run, one);
  }
  const double end_s = run.at(0, run.seconds - 1).until_s;
  return fmt::format(
      "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n"
      "<!-- SIMULATED: computed by a model of the machine; not a record of what was applied -->\n"
      "<ISO11783_TaskData VersionMajor=\"4\" VersionMinor=\"0\" "
      "ManagementSoftwareManufacturer=\"sillion\" ManagementSoftwareVersion=\"simulated\" "
      "TaskControllerManufacturer=\"sillion (simulated)\" TaskControllerVersion=\"simulated\" "
      "DataTransferOrigin=\"2\">\n"
      "<PFD A=\"PFD-1\" C=\"{}\" D=\"{}\"/>\n{}"
      "<TSK A=\"TSK-1\" B=\"{}\" E=\"PFD-1\" G=\"4\">\n"
      "<TIM A=\"{}\" B=\"{}\" C=\"{}\" D=\"4\"><DLV A=\"015F\" B=\"{}\" C=\"DET-2\"/></TIM>\n"
      "<DAN A=\"{:016X}\" C=\"DVC-1\"/>\n"
      "<TLG A=\"TLG00001\" C=\"1\"/>\n"
      "</TSK>\n</ISO11783_TaskData>\n",
      place.invented() ? "SIMULATED, invented place" : "SIMULATED, recorded drive",
      whole_of(area_m2, "the area"), device_xml(run, place), designator("SIMULATED " + run.name),
      instant_text(place.clock(), 0.0), instant_text(place.clock(), end_s), std::llround(end_s),
      whole_of(volume_m3 * 1e6, "the total volume"), kDeviceName);
}

std::string header_xml(const KeptRun& run) {
  std::string xml =
      "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<TIM A=\"\" D=\"4\">\n"
      "<PTN A=\"\" B=\"\" D=\"\"/>\n<DLV A=\"015F\" B=\"\" C=\"DET-2\"/>\n";
  for (std::size_t row = 0; row < run.rows; ++row)
    for (const char* ddi : {"0001", "0002", "0075"})
      xml += fmt::format("<DLV A=\"{}\" B=\"\" C=\"DET-{}\"/>\n", ddi, row + 3);
  return xml + "</TIM>\n";
}

/// What has summed up at the start of a second.
struct Sums {
  double volume_m3 = 0.0;
  std::vector<double> way_m;
};

void put_record(const KeptRun& run, const FieldPlace& place, const Sums& sums, std::size_t second,
                std::string& bytes) {
  const bool end = second == run.seconds;
  const double at_s = end ? run.at(0, second - 1).until_s : run.at(0, second).from_s;
  const Instant instant = instant_of(place.clock(), at_s);
  const GeoPoint point = place.of_machine(second);
  put_whole(static_cast<std::uint32_t>(instant.ms), bytes);
  put_whole(static_cast<std::uint16_t>(instant.day), bytes);
  put_whole(whole_of(point.lat_deg * 1e7, "the latitude"), bytes);
  put_whole(whole_of(point.lon_deg * 1e7, "the longitude"), bytes);
  put_whole(static_cast<std::uint8_t>(kSimulateMode), bytes);
  EXPECTS(run.rows <= 84);  // scenarios have 64 at most; a record counts its values to 255
  put_whole(static_cast<std::uint8_t>(1 + 3 * run.rows), bytes);
  std::uint8_t number = 0;
  const auto value = [&](double value_ratio, const char* what) {
    put_whole(number++, bytes);
    put_whole(whole_of(value_ratio, what), bytes);
  };
  value(sums.volume_m3 * 1e6, "the total volume");
  for (std::size_t row = 0; row < run.rows; ++row) {
    const run::AppliedSecond* one = end ? nullptr : &run.at(row, second);
    value(end ? 0.0 : one->field_set_m3pm2 * 1e11, "a rate");  // 0.01 mm3/m2
    value(end ? 0.0 : one->field_m3pm2 * 1e11, "a rate");
    value(sums.way_m[row] * 1e3, "a row's distance");
  }
}

}  // namespace

std::string instant_text(const MapClock& clock, double after_s) {
  const Instant instant = instant_of(clock, after_s);
  const std::chrono::sys_days zero =
      std::chrono::year{1980} / std::chrono::January / std::chrono::day{1};
  const std::chrono::year_month_day date{zero + std::chrono::days{instant.day}};
  return fmt::format("{:04}-{:02}-{:02}T{:02}:{:02}:{:02}.{:03}Z", static_cast<int>(date.year()),
                     static_cast<unsigned>(date.month()), static_cast<unsigned>(date.day()),
                     instant.ms / 3'600'000, instant.ms / 60'000 % 60, instant.ms / 1000 % 60,
                     instant.ms % 1000);
}

void write_task_file(const KeptRun& run, const FieldPlace& place,
                     const output::StreamedFolder& folder) {
  const auto whole = [&](const char* name, const std::string& bytes) {
    output::StreamedFile file(folder.path_of(name));
    file.put(bytes);
    file.close();
  };
  whole("TASKDATA/TASKDATA.XML", task_xml(run, place));
  whole("TASKDATA/TLG00001.XML", header_xml(run));
  output::StreamedFile records(folder.path_of("TASKDATA/TLG00001.BIN"));
  Sums sums{.way_m = std::vector<double>(run.rows, 0.0)};
  std::string bytes;
  for (std::size_t second = 0; second <= run.seconds; ++second) {
    bytes.clear();
    put_record(run, place, sums, second, bytes);
    records.put(bytes);
    if (second == run.seconds) break;
    for (std::size_t row = 0; row < run.rows; ++row) {
      sums.volume_m3 += run.at(row, second).volume_m3;
      sums.way_m[row] += run.at(row, second).way_m;
    }
  }
  records.close();
}

}  // namespace sim::map
