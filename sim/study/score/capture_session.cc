// A session of the sigrok programs: a ZIP archive whose `metadata` names the signals and the sample
// rate, and whose files logic-1-1, logic-1-2, ... hold the samples, a bit per signal.
#include <fmt/format.h>
#include <zip.h>

#include <algorithm>
#include <array>
#include <charconv>
#include <map>
#include <memory>
#include <sstream>

#include "sim/study/score/capture_files.h"
#include "sim/study/score/pin_levels.h"
#include "sim/text/input_error.h"
#include "sim/text/quantity.h"

namespace sim::score {
namespace {

using Archive = std::unique_ptr<zip_t, decltype(&zip_discard)>;
using Entry = std::unique_ptr<zip_file_t, decltype(&zip_fclose)>;

constexpr std::size_t kMostUnitBytes = 8;

struct Metadata {
  std::string data_name = "logic-1";
  double rate_hz = 0.0;
  std::size_t unit_bytes = 1;
  std::vector<std::string> probes;  // by bit; empty: that bit has no name
};

[[noreturn]] void fail(const std::filesystem::path& file, const std::string& what) {
  throw text::InputError(fmt::format("{}: {}", file.string(), what));
}

Entry open_entry(zip_t* archive, const std::string& name) {
  return {zip_fopen(archive, name.c_str(), 0), &zip_fclose};
}

std::string whole_entry(const std::filesystem::path& file, zip_t* archive, const char* name) {
  const Entry entry = open_entry(archive, name);
  if (!entry) fail(file, fmt::format("the archive has no `{}`: no session of sigrok", name));
  std::string text;
  std::array<char, 4096> part{};
  for (zip_int64_t got = 0; (got = zip_fread(entry.get(), part.data(), part.size())) > 0;)
    text.append(part.data(), static_cast<std::size_t>(got));
  return text;
}

/// `probe12` -> 12; 0 for any other key.
std::size_t probe_of(const std::string& key) {
  std::size_t number = 0;
  if (!key.starts_with("probe")) return 0;
  const auto [end, error] = std::from_chars(key.data() + 5, key.data() + key.size(), number);
  return error == std::errc() && end == key.data() + key.size() ? number : 0;
}

Metadata metadata_of(const std::filesystem::path& file, const std::string& text) {
  Metadata found;
  std::istringstream lines(text);
  for (std::string line; std::getline(lines, line);) {
    const std::size_t equals = line.find('=');
    if (equals == std::string::npos) continue;
    const std::string key = line.substr(0, equals);
    std::string value = line.substr(equals + 1);
    value.erase(value.find_last_not_of("\r ") + 1);
    if (key == "capturefile") found.data_name = value;
    if (key == "unitsize") found.unit_bytes = static_cast<std::size_t>(std::atoi(value.c_str()));
    if (key == "samplerate") {
      const text::Quantity rate = text::parse_quantity(value, text::Kind::kFrequency);
      if (!rate.error.empty())
        fail(file, fmt::format("metadata: samplerate={}: {}", value, rate.error));
      found.rate_hz = rate.value_si;
    }
    if (const std::size_t probe = probe_of(key); probe > 0 && probe <= 8 * kMostUnitBytes) {
      if (found.probes.size() < probe) found.probes.resize(probe);
      found.probes[probe - 1] = value;
    }
  }
  if (found.rate_hz <= 0.0) fail(file, "metadata: no samplerate");
  if (found.unit_bytes < 1 || found.unit_bytes > kMostUnitBytes)
    fail(file, fmt::format("metadata: unitsize={}: 1 to {}", found.unit_bytes, kMostUnitBytes));
  if (found.probes.empty()) fail(file, "metadata: no probe has a name");
  return found;
}

/// Takes the samples of a session in order, in parts of any length.
class Samples {
 public:
  Samples(const Metadata& metadata, PinLevels& levels) : metadata_(metadata), levels_(levels) {}

  void take(const unsigned char* bytes, std::size_t count) {
    for (std::size_t k = 0; k < count; ++k) {
      unit_ |= std::uint64_t{bytes[k]} << 8 * filled_;
      if (++filled_ < metadata_.unit_bytes) continue;
      sample();
      unit_ = 0;
      filled_ = 0;
    }
  }
  std::int64_t count() const { return count_; }
  double seconds() const { return static_cast<double>(count_) / metadata_.rate_hz; }

 private:
  void sample() {
    const std::uint64_t changed = count_ == 0 ? ~std::uint64_t{0} : unit_ ^ before_;
    if (changed != 0)
      for (std::size_t bit = 0; bit < metadata_.probes.size(); ++bit)
        if ((changed >> bit & 1) != 0) levels_.level(bit, (unit_ >> bit & 1) != 0, seconds());
    before_ = unit_;
    ++count_;
  }

  const Metadata& metadata_;
  PinLevels& levels_;
  std::uint64_t unit_ = 0, before_ = 0;
  std::size_t filled_ = 0;
  std::int64_t count_ = 0;
};

class SessionReader : public FileReader {
 public:
  SessionReader(const std::filesystem::path& file, const CaptureWords& words)
      : FileReader(file), file_(file), archive_(open_archive(file)) {
    metadata_ = metadata_of(file, whole_entry(file, archive_.get(), "metadata"));
    levels_.emplace(file.string(), metadata_.probes, words);
    samples_.emplace(metadata_, *levels_);
    // Older sessions have one file without a number.
    entry_ = open_entry(archive_.get(), metadata_.data_name);
    if (!entry_) next_part();
    if (!read_some()) fail(file, "nothing is recorded");
  }

 protected:
  bool read_some() override {
    std::array<unsigned char, 65536> part{};
    while (entry_) {
      const zip_int64_t got = zip_fread(entry_.get(), part.data(), part.size());
      if (got < 0) fail(file_, "a part of the samples is damaged");
      if (got > 0) {
        samples_->take(part.data(), static_cast<std::size_t>(got));
        now_s_ = samples_->seconds();
        if (samples_->count() > 0) return true;
        continue;
      }
      next_part();
    }
    return false;
  }
  double step_s() const override { return 1.0 / metadata_.rate_hz; }

 private:
  static Archive open_archive(const std::filesystem::path& file) {
    int error = 0;
    Archive archive(zip_open(file.c_str(), ZIP_RDONLY, &error), &zip_discard);
    if (!archive) fail(file, "no ZIP archive that can be read, so no session of sigrok");
    return archive;
  }
  void next_part() {
    const std::string name = fmt::format("{}-{}", metadata_.data_name, ++part_);
    entry_ = open_entry(archive_.get(), name);
    zip_stat_t known{};
    if (entry_ && zip_stat(archive_.get(), name.c_str(), 0, &known) == 0)
      read_bytes_ratio_ += static_cast<double>(known.comp_size);
  }

  std::filesystem::path file_;
  Archive archive_;
  Entry entry_{nullptr, &zip_fclose};
  Metadata metadata_;
  std::optional<Samples> samples_;
  int part_ = 0;
};

}  // namespace

std::unique_ptr<CaptureReader> open_session(const std::filesystem::path& file,
                                            const CaptureWords& words) {
  return std::make_unique<SessionReader>(file, words);
}

}  // namespace sim::score
