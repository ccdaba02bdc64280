#include "tests/fuzz/fuzz_targets.h"

#include <unistd.h>

#include <algorithm>
#include <array>
#include <cstring>
#include <filesystem>
#include <fstream>
#include <string>

#include "shared/controller_abi.h"
#include "sim/output/ledger.h"
#include "sim/output/write_folder.h"
#include "sim/scenario/delay_file.h"
#include "sim/scenario/loader.h"
#include "sim/scenario/nmea_log.h"
#include "sim/study/check/baseline.h"
#include "sim/study/check/suite.h"
#include "sim/study/score/capture.h"
#include "sim/study/sweep/study.h"
#include "sim/study/valve/trace/valve_trace.h"
#include "sim/text/input_error.h"

namespace fuzz {
namespace {

/// A folder of this process, in memory where the system has one; it goes away with the process.
class Folder {
 public:
  Folder() {
    const std::filesystem::path memory = "/dev/shm";
    const bool there = std::filesystem::is_directory(memory);
    path_ = (there ? memory : std::filesystem::temp_directory_path()) /
            ("sillion_fuzz_" + std::to_string(getpid()));
    std::filesystem::create_directories(path_);
  }
  Folder(const Folder&) = delete;
  Folder& operator=(const Folder&) = delete;
  ~Folder() {
    std::error_code ignored;
    std::filesystem::remove_all(path_, ignored);
  }
  const std::filesystem::path& path() const { return path_; }

 private:
  std::filesystem::path path_;
};

std::filesystem::path file_of(std::string_view bytes, const char* name) {
  static const Folder folder;
  const std::filesystem::path file = folder.path() / name;
  std::ofstream stream(file, std::ios::binary);
  stream.write(bytes.data(), static_cast<std::streamsize>(bytes.size()));
  return file;
}

/// What a person wrote may be wrong, and nothing else.
template <typename Read>
void allowing_input_errors(const Read& read) {
  try {
    read();
  } catch (const sim::text::InputError& error) {
    if (std::strlen(error.what()) == 0) std::abort();
  }
}

void read_scenario(std::string_view bytes) {
  allowing_input_errors([&] { sim::scenario::load_scenario(file_of(bytes, "scenario.toml")); });
}

void read_study(std::string_view bytes) {
  allowing_input_errors([&] { sim::sweep::load_study(file_of(bytes, "study.toml")); });
}

void read_suite(std::string_view bytes) {
  allowing_input_errors([&] { sim::check::load_suite(file_of(bytes, "suite.toml")); });
}

void read_baseline(std::string_view bytes) {
  allowing_input_errors([&] { sim::check::read_baseline(file_of(bytes, "baseline.jsonl")); });
}

void read_trace(std::string_view bytes) {
  allowing_input_errors([&] { sim::valve::read_valve_trace(file_of(bytes, "trace.csv")); });
}

void read_nmea(std::string_view bytes) { sim::scenario::read_nmea(bytes); }

void read_capture(std::string_view bytes) {
  allowing_input_errors([&] { sim::score::read_capture(file_of(bytes, "capture"), {}); });
}

void read_delay_table(std::string_view bytes) {
  allowing_input_errors([&] { sim::scenario::read_delay_file(file_of(bytes, "delay.toml")); });
}

void read_ledger(std::string_view bytes) {
  const auto file = file_of(bytes, "ledger.sqlite");
  try {
    sim::output::LedgerReader ledger(file, {"study", "controller", "program"});
    for (const std::string& key : ledger.whole_keys()) ledger.find(key);
  } catch (const sim::text::InputError&) {
  } catch (const sim::output::OutputError&) {
  }
  std::filesystem::remove(file.string() + "-journal");
}

/// Takes bytes from the front; zeros where there are none left.
template <typename Plain>
Plain taken(std::string_view& bytes) {
  Plain value{};
  const std::size_t count = std::min(bytes.size(), sizeof value);
  std::memcpy(&value, bytes.data(), count);
  bytes.remove_prefix(count);
  return value;
}

/// Calls of a controller whose configuration, storage and inputs are these bytes: whatever comes
/// from sensors, links and memory, it stays inside its block and its interface.
void drive_controller(std::string_view bytes, std::uint32_t role) {
  auto config = taken<sillion_config>(bytes);
  config.role = role;
  static std::array<std::uint64_t, 4096> block;
  const sillion_hardware* hardware = sillion_describe(role);
  if (hardware == nullptr || hardware->memory_bytes > sizeof block) std::abort();
  const std::string storage(std::size_t{hardware->storage_pages} * SILLION_PAGE_BYTES,
                            static_cast<char>(0xFF));
  sillion_controller* controller =
      sillion_init(block.data(), sizeof block, &config, nullptr, 0, storage.data(), storage.size());
  if (controller == nullptr) return;
  std::uint32_t now = config.start_ticks;
  for (int call = 0; call < 64 && !bytes.empty(); ++call) {
    auto in = taken<sillion_input>(bytes);
    now += in.now_ticks % 200'000;
    in.now_ticks = now;
    sillion_output out{};
    sillion_step(controller, &in, &out);
    if (out.compare_count > SILLION_COMPARE_MAX * 2 || out.frame_count > SILLION_FRAMES_MAX ||
        out.event_count > SILLION_EVENTS_MAX || out.bridge.state > SILLION_BRIDGE_REVERSE)
      std::abort();
  }
}

void call_row(std::string_view bytes) { drive_controller(bytes, SILLION_ROLE_ROW); }
void call_machine(std::string_view bytes) { drive_controller(bytes, SILLION_ROLE_MACHINE); }

constexpr Target kTargets[] = {
    {"scenario", read_scenario},       {"study", read_study},   {"suite", read_suite},
    {"baseline", read_baseline},       {"trace", read_trace},   {"nmea", read_nmea},
    {"capture", read_capture},         {"row", call_row},       {"machine", call_machine},
    {"delay_table", read_delay_table}, {"ledger", read_ledger},
};

}  // namespace

std::span<const Target> targets() { return kTargets; }

const Target* find_target(std::string_view name) {
  const auto found = std::find_if(std::begin(kTargets), std::end(kTargets),
                                  [&](const Target& one) { return one.name == name; });
  return found == std::end(kTargets) ? nullptr : found;
}

}  // namespace fuzz
