// The readers of the forms that a recording may have (sim/study/score/capture.h tells them apart).
//
// Errors   as capture.h
// Checked  tests/sim/study/score/capture_test.cc
#pragma once

#include "sim/study/score/capture.h"

namespace sim::score {

Capture read_vcd(const std::filesystem::path& file, const CaptureWords& words);
Capture read_capture_csv(const std::filesystem::path& file, const CaptureWords& words);
Capture read_session(const std::filesystem::path& file, const CaptureWords& words);

}  // namespace sim::score
