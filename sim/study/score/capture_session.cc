// A session of the sigrok programs, read a part at a time: the samples of the logic channels, a bit
// per signal, and beside them those of the analog channels that are currents.
#include <fmt/format.h>

#include <algorithm>
#include <bit>
#include <cmath>
#include <cstdint>

#include "sim/study/score/capture_files.h"
#include "sim/study/score/pin_levels.h"
#include "sim/study/score/session_metadata.h"
#include "sim/text/nearest.h"

namespace sim::score {
namespace {

constexpr std::size_t kSamplesAtOnce = 16384;
constexpr std::size_t kNumberBytes = 4;

using Analog = SessionMetadata::Analog;

/// The samples of one analog channel, in parts as the logic channels are read.
class AnalogSamples {
 public:
  AnalogSamples(const SessionArchive& archive, const Analog& analog, std::size_t signal,
                std::uint64_t logic_samples)
      : archive_(&archive),
        what_(fmt::format("analog{}={}", analog.number, analog.name)),
        signal_(signal),
        stream_(archive, analog.stream()) {
    if (stream_.parts().empty()) fail_missing(analog.stream() + "-1");
    for (const std::string& part : stream_.parts()) {
      const std::uint64_t size_bytes = archive.size_bytes(part).value_or(0);
      if (size_bytes % kNumberBytes != 0)
        archive.fail(
            fmt::format("{}: `{}` has {} bytes, so its last number is cut off ({} bytes "
                        "per number)",
                        what_, part, size_bytes, kNumberBytes));
    }
    if (stream_.size_bytes() / kNumberBytes < logic_samples)
      archive.fail(fmt::format("{}: `{}` ends after sample {}, but the logic has {} samples", what_,
                               stream_.parts().back(), stream_.size_bytes() / kNumberBytes,
                               logic_samples));
  }

  std::size_t signal() const { return signal_; }
  double read_bytes_ratio() const { return stream_.read_bytes_ratio(); }
  void read(std::size_t samples) {
    first_ += bytes_.size() / kNumberBytes;
    bytes_.resize(samples * kNumberBytes);
    if (stream_.read(bytes_) < bytes_.size())
      archive_->fail(fmt::format("{}: `{}` is damaged", what_, stream_.parts().back()));
  }
  /// An archive's check sum is compared when its file has been read to the end.
  void finish() {
    unsigned char behind = 0;
    stream_.read({&behind, 1});
  }
  double current_a(std::size_t sample, double at_s) const {
    std::uint32_t word = 0;
    for (std::size_t k = 0; k < kNumberBytes; ++k)
      word |= std::uint32_t{bytes_[sample * kNumberBytes + k]} << 8 * k;
    const double value_a = static_cast<double>(std::bit_cast<float>(word));
    if (!std::isfinite(value_a))
      archive_->fail(fmt::format("{}: sample {}, {:.9g} s: {} is no number", what_, first_ + sample,
                                 at_s, value_a));
    return value_a;
  }

 private:
  [[noreturn]] void fail_missing(const std::string& part) const {
    const std::string nearest = text::nearest_name(part, archive_->names("analog"));
    archive_->fail(fmt::format("metadata: {}: the archive has no `{}`{}", what_, part,
                               nearest.empty() ? "" : "; nearest: `" + nearest + "`"));
  }

  const SessionArchive* archive_;
  std::string what_;
  std::size_t signal_;
  SessionStream stream_;
  std::vector<unsigned char> bytes_;  // of the part that was read last
  std::uint64_t first_ = 0;           // sample of that part
};

class SessionReader : public FileReader {
 public:
  SessionReader(const std::filesystem::path& file, const CaptureWords& words)
      : FileReader(file),
        archive_(file),
        metadata_(metadata_of(archive_)),
        logic_(archive_, metadata_.logic_name) {
    levels_.emplace(file.string(), metadata_.signals(), words);
    if (logic_.parts().empty())
      archive_.fail(fmt::format("no logic: the archive has no `{}-1` (metadata: capturefile={})",
                                metadata_.logic_name, metadata_.logic_name));
    const std::uint64_t samples = logic_.size_bytes() / metadata_.unit_bytes;
    if (samples == 0)
      archive_.fail(fmt::format("nothing is recorded: `{}` is empty", logic_.parts().front()));
    if (const auto mistake = too_late(static_cast<double>(samples) / metadata_.rate_hz))
      archive_.fail(fmt::format("sample {} at {:g} Hz: {}", samples, metadata_.rate_hz, *mistake));
    for (std::size_t k = 0; k < metadata_.analogs.size(); ++k) {
      const std::size_t signal = metadata_.probes.size() + k;
      if (levels_->is_current(signal))
        currents_.emplace_back(archive_, metadata_.analogs[k], signal, samples);
    }
    if (!read_some()) archive_.fail("nothing is recorded");
  }

 protected:
  bool read_some() override {
    bytes_.resize(kSamplesAtOnce * metadata_.unit_bytes);
    const std::size_t samples = logic_.read(bytes_) / metadata_.unit_bytes;
    for (AnalogSamples& current : currents_) current.read(samples);
    if (samples < kSamplesAtOnce)
      for (AnalogSamples& current : currents_) current.finish();
    for (std::size_t k = 0; k < samples; ++k) take_sample(k);
    now_s_ = seconds();
    read_bytes_ratio_ = logic_.read_bytes_ratio();
    for (const AnalogSamples& current : currents_) read_bytes_ratio_ += current.read_bytes_ratio();
    return samples > 0;
  }
  double step_s() const override { return 1.0 / metadata_.rate_hz; }

 private:
  double seconds() const { return static_cast<double>(count_) / metadata_.rate_hz; }

  // Levels come first: the sample of a current at a command's instant belongs to its pulse.
  void take_sample(std::size_t sample) {
    std::uint64_t unit = 0;
    for (std::size_t k = 0; k < metadata_.unit_bytes; ++k)
      unit |= std::uint64_t{bytes_[sample * metadata_.unit_bytes + k]} << 8 * k;
    const std::uint64_t changed = count_ == 0 ? ~std::uint64_t{0} : unit ^ before_;
    const double at_s = seconds();
    if (changed != 0)
      for (std::size_t bit = 0; bit < metadata_.probes.size(); ++bit)
        if ((changed >> bit & 1) != 0) levels_->level(bit, (unit >> bit & 1) != 0, at_s);
    for (const AnalogSamples& current : currents_)
      levels_->sample(current.signal(), current.current_a(sample, at_s), at_s);
    before_ = unit;
    ++count_;
  }

  SessionArchive archive_;
  SessionMetadata metadata_;
  SessionStream logic_;
  std::vector<AnalogSamples> currents_;
  std::vector<unsigned char> bytes_;  // of the logic that was read last
  std::uint64_t before_ = 0;
  std::int64_t count_ = 0;
};

}  // namespace

std::unique_ptr<CaptureReader> open_session(const std::filesystem::path& file,
                                            const CaptureWords& words) {
  return std::make_unique<SessionReader>(file, words);
}

}  // namespace sim::score
