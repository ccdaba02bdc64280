// How deep the controller's own calls go, by a stack that was painted before.
//
// Valid    an optimised build without a sanitizer: without optimisation or with red zones the same
//          calls take several times as much
#include <gtest/gtest.h>
#include <ucontext.h>

#include <algorithm>
#include <array>
#include <cstdint>
#include <cstdio>
#include <cstring>

#include "tests/controller/fake_hardware.h"
#include "tests/controller/sanitized.h"

namespace {

constexpr std::size_t kStackBytes = 64 * 1024;
constexpr unsigned char kPaint = 0xA5;
constexpr std::size_t kMostBytes = 2048;

alignas(64) std::array<unsigned char, kStackBytes> painted;
alignas(8) std::array<std::uint64_t, 1024> block;
sillion_config config_now;
sillion_input question;
sillion_output answer;
sillion_controller* controller_now = nullptr;
bool starts = false;
ucontext_t caller;
ucontext_t callee;

// What stands on the painted stack besides the controller: this frame, which holds no variables.
void call() {
  if (starts) {
    controller_now = sillion_init(block.data(), sizeof block, &config_now, nullptr, 0, nullptr, 0);
  } else {
    sillion_step(controller_now, &question, &answer);
  }
}

void call_on_painted_stack() {
  getcontext(&callee);
  callee.uc_stack.ss_sp = painted.data();
  callee.uc_stack.ss_size = painted.size();
  callee.uc_link = &caller;
  makecontext(&callee, call, 0);
  swapcontext(&caller, &callee);
}

std::size_t deepest_bytes() {
  const auto* first =
      std::find_if(painted.begin(), painted.end(), [](unsigned char c) { return c != kPaint; });
  return static_cast<std::size_t>(painted.end() - first);
}

/// Deepest use in the start and 4 s of work; the row fires a seed every 20 ms, then every 2 ms, so
/// that the queue runs over, and its valve is closed and opened again by its inputs.
std::size_t stack_bytes_of(const sillion_config& config, const sillion_frame& heard) {
  painted.fill(kPaint);
  config_now = config;
  starts = true;
  call_on_painted_stack();
  starts = false;
  if (controller_now == nullptr) return kStackBytes;
  controller::MotionFrame motion;
  motion.valid_ms = 500;
  motion.speed_umps = 4'000'000;
  for (std::uint32_t ms = 1; ms <= 4'000; ++ms) {
    std::memset(&question, 0, sizeof question);
    std::memset(&answer, 0, sizeof answer);
    question.now_ticks = config.start_ticks + ms * 1000;
    question.why = SILLION_WHY_TICK;
    question.digital = ms % 1000 < 900 ? 7 : 0;
    question.meter_pulses = ms / 7;
    question.analog_counts[1] = static_cast<std::uint16_t>(300 + ms % 100);
    if (ms % 100 == 0) {
      motion.sequence = static_cast<std::uint16_t>(ms / 100);
      question.frames[question.frame_count] = controller::encode(motion);
      question.frames[question.frame_count++].received_ticks = question.now_ticks;
      question.frames[question.frame_count] = heard;
      question.frames[question.frame_count++].received_ticks = question.now_ticks;
    }
    if (ms % (ms < 2'000 ? 20 : 2) == 0)
      question.edges[question.edge_count++] = {question.now_ticks - 100, 1, {}};
    call_on_painted_stack();
  }
  return deepest_bytes();
}

#if defined(__OPTIMIZE__) && !SILLION_SANITIZED
#define NEEDS_AN_OPTIMISED_BUILD() static_cast<void>(0)
#else
#define NEEDS_AN_OPTIMISED_BUILD() GTEST_SKIP() << "not optimised, or under a sanitizer"
#endif

TEST(Stack, ARowStaysWithinTwoKibibytes) {
  NEEDS_AN_OPTIMISED_BUILD();
  controller::SetPointFrame set_point;
  set_point.valid_ms = 1000;
  set_point.rate_nm = 4677;
  set_point.pressure_pa = 280'000;
  const std::size_t bytes = stack_bytes_of(test::row_config(), controller::encode(set_point));
  std::printf("deepest stack of a row: %zu bytes\n", bytes);
  EXPECT_LE(bytes, kMostBytes);
  EXPECT_GT(bytes, 100u);
}

TEST(Stack, AMachineStaysWithinTwoKibibytes) {
  NEEDS_AN_OPTIMISED_BUILD();
  controller::RowReportFrame said;
  said.flow_mm3ps = 15'000;
  said.wanted_mm3ps = 15'000;
  const std::size_t bytes = stack_bytes_of(test::machine_config(), controller::encode(said));
  std::printf("deepest stack of a machine: %zu bytes\n", bytes);
  EXPECT_LE(bytes, kMostBytes);
  EXPECT_GT(bytes, 100u);
}

}  // namespace
