#include "sim/output/report_script.h"

#include "shared/check.h"
#include "sim/output/hash_base64.h"

namespace sim::output {
namespace {

std::string_view file_of(std::string_view name) {
  for (const Asset& asset : report_assets())
    if (asset.name == name) return asset.bytes;
  ENSURES(false);
  return {};
}

}  // namespace

std::string_view report_script() { return file_of("report.js"); }

std::string_view report_style() { return file_of("report.css"); }

std::string report_script_source() { return "'sha256-" + sha256_base64(report_script()) + "'"; }

}  // namespace sim::output
