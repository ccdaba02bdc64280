#include "sim/study/unit/unit_archive.h"

#include <fmt/format.h>
#include <zip.h>

#include <ctime>
#include <fstream>
#include <iterator>
#include <memory>

#include "sim/bench/controller_library.h"
#include "sim/bench/line_form.h"
#include "sim/output/hash.h"
#include "sim/study/run/run.h"
#include "sim/study/tune/strip_trim.h"
#include "sim/study/tune/tune_once.h"
#include "sim/study/unit/fmi3_instance.h"
#include "sim/study/unit/row_instance.h"
#include "sim/study/unit/unit_description.h"

namespace sim::unit {
namespace {

using Source = std::unique_ptr<zip_source_t, decltype(&zip_source_free)>;
using Archive = std::unique_ptr<zip_t, decltype(&zip_discard)>;

[[noreturn]] void fail(const std::string& what) {
  throw output::OutputError("the unit's archive: " + what);
}

/// The first instant that the format knows, as local time: what is stored is the local time.
std::time_t first_instant() {
  std::tm first{};
  first.tm_year = 80;
  first.tm_mday = 1;
  first.tm_isdst = -1;
  return std::mktime(&first);
}

void add_entry(zip_t* archive, const output::ResultFile& entry) {
  zip_source_t* const bytes = zip_source_buffer(archive, entry.bytes.data(), entry.bytes.size(), 0);
  if (bytes == nullptr) fail(zip_strerror(archive));
  const zip_int64_t index = zip_file_add(archive, entry.name.c_str(), bytes, ZIP_FL_ENC_UTF_8);
  if (index < 0) {
    zip_source_free(bytes);
    fail(zip_strerror(archive));
  }
  if (zip_file_set_mtime(archive, static_cast<zip_uint64_t>(index), first_instant(), 0) != 0)
    fail(zip_strerror(archive));
}

std::string bytes_in(zip_source_t* source) {
  zip_stat_t stat;
  zip_stat_init(&stat);
  if (zip_source_stat(source, &stat) != 0 || zip_source_open(source) != 0) fail("cannot be read");
  std::string bytes(stat.size, '\0');
  const zip_int64_t got = zip_source_read(source, bytes.data(), stat.size);
  zip_source_close(source);
  if (got != static_cast<zip_int64_t>(stat.size)) fail("cannot be read");
  return bytes;
}

std::string file_bytes(const std::filesystem::path& file) {
  std::ifstream stream(file, std::ios::binary);
  return {std::istreambuf_iterator<char>(stream), std::istreambuf_iterator<char>()};
}

}  // namespace

std::string archive_of(std::span<const output::ResultFile> entries) {
  zip_error_t error;
  zip_error_init(&error);
  const Source memory(zip_source_buffer_create(nullptr, 0, 0, &error), &zip_source_free);
  if (!memory) fail(zip_error_strerror(&error));
  Archive archive(zip_open_from_source(memory.get(), ZIP_TRUNCATE, &error), &zip_discard);
  if (!archive) fail(zip_error_strerror(&error));
  zip_source_keep(memory.get());  // closing the archive gives one hold on it back
  for (const output::ResultFile& entry : entries) add_entry(archive.get(), entry);
  if (zip_close(archive.get()) != 0) fail(zip_strerror(archive.get()));
  archive.release();
  return bytes_in(memory.get());
}

std::string unit_archive(const UnitContents& contents, const std::filesystem::path& library) {
  require_carried(contents);
  bench::require_library(library.string());
  const std::string text = contents_text(contents);
  const UnitLabel label{.token = output::sha256_hex(text),
                        .step_ns = RowInstance(contents, start_inputs(contents)).step_length().ns};
  const std::string resources = "resources/";
  return archive_of(std::vector<output::ResultFile>{
      {"modelDescription.xml", model_description(contents, label)},
      {"documentation/index.html", documentation_page(contents, label)},
      {resources + kContentsFile, text},
      {resources + kTokenFile, label.token},
      {fmt::format("binaries/x86_64-linux/{}.so", kModelIdentifier), file_bytes(library)}});
}

UnitContents unit_of(const scenario::Scenario& scenario, const AskedUnit& asked,
                     const std::atomic<bool>* stop) {
  UnitContents contents{.scenario = carried(bench::with_line_form(scenario)),
                        .row = std::max(asked.row, 0),
                        .drawn = asked.row >= 0,
                        .with_controller = asked.with_controller};
  require_carried(contents);
  if (!asked.with_controller) return contents;
  const tune::TunedTable tuned = tune::tune_once(scenario);
  run::require_servable(scenario, tuned);
  contents.table = tuned.table;
  if (contents.drawn && scenario.controller.row_trim)
    contents.trim_um =
        tune::strip_test_trim_um(scenario, stop)[static_cast<std::size_t>(asked.row)];
  return contents;
}

}  // namespace sim::unit
