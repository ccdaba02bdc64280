// Independent readers of maps: GDAL's ogrinfo for GeoPackage, GeoJSON and CSV, and Python's own
// modules (xml.etree, struct) for the task data of ISO 11783-10. A test whose reader is missing
// skips.
//
// Errors   a reader that fails gives not-a-number
// Checked  by the tests that read maps
#pragma once

#include <filesystem>
#include <limits>
#include <regex>
#include <string>

#include "tests/support/run_program.h"

namespace support {

inline bool has_program(const std::string& name, const std::string& question) {
  return run_program({name, question}).code == 0;
}
inline bool has_gdal() { return has_program("ogrinfo", "--version"); }
inline bool has_python() { return has_program("python3", "--version"); }

/// One number that an SQL statement gives in a map's layer.
inline double ogr_number(const std::filesystem::path& file, const std::string& select) {
  std::vector<std::string> words = {"ogrinfo", "-q", "-dialect", "OGRSQL", "-sql", select};
  if (file.extension() == ".csv") words.insert(words.end(), {"-oo", "AUTODETECT_TYPE=YES"});
  words.push_back(file.string());
  const Ended ended = run_program(words);
  std::smatch found;
  if (ended.code == 0 && std::regex_search(ended.out, found, std::regex(R"( = (-?[0-9.eE+-]+))")))
    return std::stod(found[1]);
  return std::numeric_limits<double>::quiet_NaN();
}

/// Reads TASKDATA after ISO 11783-10 and prints a line of key and value for each figure.
inline constexpr const char* kTaskReader = R"py(
import struct, sys, xml.etree.ElementTree as tree
folder = sys.argv[1] + "/"
task = tree.parse(folder + "TASKDATA.XML").getroot()
dlvs = tree.parse(folder + "TLG00001.XML").getroot().findall("DLV")
names = [(int(d.get("A"), 16), d.get("C")) for d in dlvs]
properties = {d.get("A"): (int(d.get("B"), 16), int(d.get("C"))) for d in task.iter("DPT")}
width = {}
for element in task.iter("DET"):
    for reference in element.findall("DOR"):
        kind, value = properties.get(reference.get("A"), (0, 0))
        if kind == 67:
            width[element.get("A")] = value * 1e-3
data = open(folder + "TLG00001.BIN", "rb").read()
at, records = 0, []
while at < len(data):
    ms, day, north, east, status, count = struct.unpack_from("<IHiiBB", data, at)
    at += 16
    values = {}
    for _ in range(count):
        number, value = struct.unpack_from("<Bi", data, at)
        at += 5
        values[names[number]] = value
    records.append((ms, day, north * 1e-7, east * 1e-7, status, values))
volume = 0.0
for here, there in zip(records, records[1:]):
    for element, wide in width.items():
        way = (there[5][117, element] - here[5][117, element]) * 1e-3
        volume += here[5][2, element] * 1e-2 * 1e-9 * wide * way
print("records", len(records))
print("rows", len(width))
print("rate_volume_m3", repr(volume))
print("total_ml", max(r[5][351, "DET-2"] for r in records))
print("task_ml", task.find("TSK/TIM/DLV").get("B"))
print("statuses", sorted({r[4] for r in records}))
print("ddis", sorted({n[0] for n in names}))
print("first_north", repr(records[0][2]))
print("first_east", repr(records[0][3]))
print("first_ms", records[0][0])
print("first_day", records[0][1])
print("last_ms", records[-1][0])
print("designators", all("SIMULATED" in e.get(k, "SIMULATED") for e in task.iter()
                         for k in {"TSK": "B", "PFD": "C", "DVC": "B", "DET": "D"}.get(e.tag, "")))
)py";

/// What the reader above prints of a map's folder.
inline std::string task_figures(const std::filesystem::path& map) {
  const Ended ended = run_program({"python3", "-c", kTaskReader, (map / "TASKDATA").string()});
  return ended.code == 0 ? ended.out : "failed: " + ended.err;
}

inline std::string figure_of(const std::string& figures, const std::string& key) {
  const std::size_t at = ("\n" + figures).find("\n" + key + " ");
  if (at == std::string::npos) return {};
  const std::size_t from = at + key.size() + 1;
  return figures.substr(from, figures.find('\n', from) - from);
}

}  // namespace support
