// The readers of the forms that a recording may have (sim/study/score/capture.h tells them apart).
//
// Errors   as capture.h
// Checked  tests/sim/study/score/capture_test.cc
#pragma once

#include <optional>

#include "sim/study/score/capture.h"
#include "sim/study/score/pin_levels.h"

namespace sim::score {

/// What all forms have in common: signals that change as the file is read.
class FileReader : public CaptureReader {
 public:
  explicit FileReader(const std::filesystem::path& file);
  std::size_t rows() const override { return levels_->rows(); }
  bool records_current() const override { return levels_->records_current(); }
  bool read_to(double until_s) override;
  std::vector<CapturedRow> take() override { return levels_->take(); }
  double known_s() const override { return now_s_; }
  Resolution resolution() const override;
  std::vector<std::string> doubts() const override { return levels_->doubts(); }
  double done_ratio() const override;

 protected:
  /// Reads a little more; false at the end.
  virtual bool read_some() = 0;
  virtual double step_s() const = 0;
  virtual bool step_known() const { return true; }
  /// What is wrong with a recording that lasts until then; nothing, if it may.
  static std::optional<std::string> too_late(double at_s);

  std::optional<PinLevels> levels_;
  double now_s_ = 0.0;             // all before it is known
  double read_bytes_ratio_ = 0.0;  // a count of bytes

 private:
  double size_bytes_ratio_ = 0.0;  // a count of bytes
  bool ended_ = false;
};

std::unique_ptr<CaptureReader> open_vcd(const std::filesystem::path& file,
                                        const CaptureWords& words);
std::unique_ptr<CaptureReader> open_capture_csv(const std::filesystem::path& file,
                                                const CaptureWords& words);
std::unique_ptr<CaptureReader> open_session(const std::filesystem::path& file,
                                            const CaptureWords& words);

}  // namespace sim::score
