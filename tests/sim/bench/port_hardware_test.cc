// What a controller sees of its storage, of its converter's rate and of its frames' fate, call by
// call.
#include <gtest/gtest.h>

#include <functional>
#include <string>
#include <vector>

#include "sim/bench/controller_port.h"
#include "sim/bench/pass.h"
#include "sim/text/input_error.h"

namespace {

using shared::Instant;
using shared::microseconds;
using shared::milliseconds;
using sim::bench::ControllerPort;

using Step = std::function<void(const sillion_input&, sillion_output&)>;
struct Told {
  sillion_hardware hardware{};
  Step step;
  std::vector<unsigned char> shown;  // storage as the last start saw it
};
Told* told = nullptr;

const sillion_hardware* told_describe(std::uint32_t) { return &told->hardware; }
sillion_controller* told_init(void* memory, std::size_t, const sillion_config*, const void*,
                              std::size_t, const void* storage, std::size_t size) {
  const auto* bytes = static_cast<const unsigned char*>(storage);
  told->shown.assign(bytes, bytes + size);
  return static_cast<sillion_controller*>(memory);
}
void told_step(sillion_controller*, const sillion_input* in, sillion_output* out) {
  told->step(*in, *out);
}

class PortHardware : public testing::Test {
 protected:
  PortHardware() {
    told = &told_;
    told_.hardware = {.abi_version = SILLION_ABI_VERSION,
                      .tick_ns = 1000,
                      .counter_bits = 32,
                      .compare_channels = 2,
                      .capture_fifo_depth = 2,
                      .analog_channels = 2,
                      .analog_bits = 10,
                      .period_ticks = 1000,
                      .compare_in_hardware = 1,
                      .memory_bytes = 64,
                      .storage_pages = 4};
    told_.step = [](const sillion_input&, sillion_output&) {};
  }
  ControllerPort port(const sim::bench::StorageSetup& storage = {},
                      const std::vector<sim::bench::EdgePair>& edges = {},
                      double drift_ratio = 0.0) {
    sillion_config config{};
    config.role = SILLION_ROLE_ROW;
    config.analog_full_scale[0] = 1023;  // a count is 1 Pa
    hosts_.push_back(sim::bench::make_host_here({told_describe, told_init, told_step}, 1));
    return ControllerPort(*hosts_.back(), 0, config, {drift_ratio, 2.0}, edges, storage);
  }
  static Instant at_ms(int ms) { return Instant{} + milliseconds(ms); }
  std::string fault_of(const Step& step) {
    told_.step = step;
    ControllerPort tested = port();
    try {
      tested.run_until(at_ms(5), {}, changes_);
    } catch (const sim::bench::ControllerError& error) {
      return error.what();
    }
    return "no fault";
  }
  std::vector<std::unique_ptr<sim::bench::ControllerHost>> hosts_;
  Told told_;
  std::vector<sim::bench::BridgeChange> changes_;
};

// Ticks at 1, 2, ... ms; an erase takes 20 ms and a program 2 ms. Erase at 1 ms: done at 21 ms. A
// program asked at 5 ms is refused, which the call at 6 ms says. Program at 22 ms: done at 24 ms.
// Read at 30 ms: there at 31 ms.
TEST_F(PortHardware, CommandsEndAfterTheirTimeAndARefusalIsReported) {
  std::vector<std::string> said;
  told_.step = [&](const sillion_input& in, sillion_output& out) {
    const int ms = static_cast<int>((in.now_ticks + 2'000'000u) / 1000u);
    const auto say = [&](const std::string& words) {
      said.push_back(std::to_string(ms) + " " + words);
    };
    if (in.storage_done != 0)
      say("done " + std::to_string(in.storage_done) + " page " + std::to_string(in.storage_page) +
          " byte " + std::to_string(in.storage[63]));
    if (in.storage_refused != 0) say("refused " + std::to_string(in.storage_refused));
    if (ms == 2 || ms == 20 || ms == 21 || ms == 23) say(in.storage_busy != 0 ? "busy" : "free");
    out.storage_page = 3;
    out.storage[63] = 0x35;
    if (ms == 1) out.storage_command = SILLION_STORAGE_ERASE;
    if (ms == 5 || ms == 22) out.storage_command = SILLION_STORAGE_PROGRAM;
    if (ms == 30) out.storage_command = SILLION_STORAGE_READ;
  };
  ControllerPort tested = port();
  EXPECT_EQ(told_.shown, std::vector<unsigned char>(4 * 64, 0xff));
  tested.run_until(at_ms(40), {}, changes_);
  EXPECT_EQ(said, (std::vector<std::string>{
                      "2 busy", "6 refused 3", "20 busy", "21 done 2 page 3 byte 0", "21 free",
                      "23 busy", "24 done 3 page 3 byte 0", "31 done 1 page 3 byte 53"}));
  EXPECT_EQ(tested.storage().page(3)[63], 0x35);
  EXPECT_EQ(tested.storage().page(3)[0], 0x00);  // the controller's other bytes were 0
}

// A program begins at 1 ms and takes 2 ms. With the power lost at 2 ms half of its 64 bytes are
// done; after a watchdog's reset the part ends by itself. Either way nobody hears of it, and the
// start is shown what is there.
TEST_F(PortHardware, APowerLossCutsAWriteAndAnotherResetDoesNot) {
  for (const bool power_lost : {true, false}) {
    bool asked = false;
    std::uint32_t heard = 0;
    told_.step = [&](const sillion_input& in, sillion_output& out) {
      heard += in.storage_done + in.storage_refused;
      if (!asked) out.storage_command = SILLION_STORAGE_PROGRAM;
      asked = true;
    };
    ControllerPort tested = port();
    tested.run_until(at_ms(2), {}, changes_);
    tested.stop(at_ms(2), changes_, power_lost);
    tested.restart(at_ms(9), SILLION_RESET_POWER, sim::bench::Retained::kNone);
    const int zeros = static_cast<int>(std::count(told_.shown.begin(), told_.shown.end(), 0));
    EXPECT_EQ(zeros, power_lost ? 32 : 64);
    tested.run_until(at_ms(20), {}, changes_);
    EXPECT_EQ(heard, 0u);
  }
}

TEST_F(PortHardware, ACutComesAtItsByteOfItsWrite) {
  told_.step = [&](const sillion_input& in, sillion_output& out) {
    if (in.storage_busy == 0) out.storage_command = SILLION_STORAGE_PROGRAM;
  };
  sim::bench::StorageSetup cut;
  cut.cuts = {{.write = 2, .bytes = 16, .off = milliseconds(5)}};
  ControllerPort tested = port(cut);
  tested.run_until(at_ms(2), {}, changes_);
  EXPECT_EQ(tested.storage().cut_at(), sim::bench::kNoCut);  // the first write, from 1 to 3 ms
  tested.run_until(at_ms(3) + microseconds(1), {}, changes_);
  EXPECT_EQ(tested.storage().cut_at(), at_ms(3) + microseconds(500));  // a quarter of 2 ms
}

TEST_F(PortHardware, PagesAndCommandsThatThePartLacksAreTheControllersFault) {
  EXPECT_NE(fault_of([](const sillion_input&, sillion_output& out) {
              out.storage_command = SILLION_STORAGE_ERASE;
              out.storage_page = 4;
            }).find("row 0 at 0.001000 s, call 0 (tick): uses storage page 4 of 4"),
            std::string::npos);
  EXPECT_NE(fault_of([](const sillion_input&, sillion_output& out) {
              out.storage_command = 4;
            }).find("storage command that the interface does not have (4)"),
            std::string::npos);
  EXPECT_EQ(fault_of([](const sillion_input&, sillion_output& out) { out.storage_page = 999; }),
            "no fault");
  told_.hardware.storage_pages = SILLION_PAGES_MAX + 1;
  EXPECT_THROW(port(), sim::bench::ControllerError);
}

TEST_F(PortHardware, AnImageOfAnotherSizeIsAMistakeOfInput) {
  sim::bench::StorageSetup image;
  image.image.assign(4 * 64, 0x11);
  EXPECT_EQ(port(image).storage().page(2)[5], 0x11);
  image.image.resize(100);
  try {
    port(image);
    FAIL() << "it was taken";
  } catch (const sim::text::InputError& error) {
    EXPECT_NE(
        std::string(error.what()).find("100 bytes; the controller's storage has 256 (4 pages"),
        std::string::npos)
        << error.what();
  }
}

// The plant shows 1 Pa more in each step of 100 us. At 400 Hz samples are taken at 0, 2.5, 5 ms, so
// the tick at 4 ms and an edge at 4.2 ms see the sample of 2.5 ms; the tick at 5 ms sees its own.
TEST_F(PortHardware, TheConverterSamplesAtItsOwnInstantsAndHolds) {
  std::vector<int> seen;
  told_.step = [&](const sillion_input& in, sillion_output&) {
    seen.push_back(in.analog_counts[0]);
  };
  const auto run = [&](std::uint32_t rate_hz, double drift_ratio = 0.0) {
    seen.clear();
    told_.hardware.analog_rate_hz = rate_hz;
    ControllerPort tested =
        port({}, {{.rising_s = 4.2e-3, .falling_s = 9.0, .seed = 0}}, drift_ratio);
    for (int step = 0; step < 55; ++step)  // steps of the plant: 100 us
      tested.run_until(Instant{} + microseconds(100 * (step + 1)), {.pressure_pa = 1.0 * step},
                       changes_);
    return seen;
  };
  EXPECT_EQ(run(0), (std::vector<int>{10, 20, 30, 40, 42, 50}));
  EXPECT_EQ(run(400), (std::vector<int>{0, 0, 25, 25, 25, 50}));
  EXPECT_EQ(run(1000), (std::vector<int>{10, 20, 30, 40, 40, 50}));
  // By a clock that is 10 % fast all of this comes earlier: ticks at 0.909, 1.818, ... ms, samples
  // at 0, 2.273 and 4.545 ms; the fifth tick is at 4.545 ms, the sixth at 5.455 ms.
  EXPECT_EQ(run(400, 0.1), (std::vector<int>{0, 0, 22, 22, 22, 45, 45}));
}

TEST_F(PortHardware, ASampleThatIsDueCausesNoCall) {
  int calls = 0;
  told_.step = [&](const sillion_input&, sillion_output&) { ++calls; };
  told_.hardware.analog_rate_hz = 100'000;
  ControllerPort tested = port();
  tested.run_until(at_ms(10) + microseconds(1), {}, changes_);
  EXPECT_EQ(calls, 10);
}

TEST_F(PortHardware, TheFateOfFramesComesWithTheNextCallOnce) {
  std::vector<std::uint32_t> fates;
  told_.step = [&](const sillion_input& in, sillion_output&) {
    fates.push_back(in.frames_sent_ok * 10 + in.frames_sent_failed);
  };
  ControllerPort tested = port();
  tested.transmitted(2, 1);
  tested.transmitted(1, 0);
  tested.run_until(at_ms(3), {}, changes_);
  EXPECT_EQ(fates, (std::vector<std::uint32_t>{31, 0}));
}

/// Three samples that began at `us`.
sim::bench::CurrentBurst burst_from(std::int64_t us) {
  return {.start = Instant{} + microseconds(us), .count = 3, .counts = {7, 8, 9}};
}

TEST_F(PortHardware, ABurstComesWithTheNextCallOnce) {
  std::vector<std::uint32_t> seen;
  told_.step = [&](const sillion_input& in, sillion_output&) {
    const std::uint32_t ago_ticks = in.now_ticks - in.burst_start_ticks;
    seen.push_back(in.burst_count == 0 ? 0 : 100 * ago_ticks + in.burst_counts[2]);
    EXPECT_EQ(in.why, std::uint32_t{SILLION_WHY_TICK});
  };
  ControllerPort tested = port();
  tested.run_until(at_ms(1) + microseconds(1), {}, changes_);
  tested.hand_over(burst_from(400));
  tested.hand_over(burst_from(700));
  tested.run_until(at_ms(3) + microseconds(1), {}, changes_);
  EXPECT_EQ(seen, (std::vector<std::uint32_t>{0, 130'009, 0}));
}

// What began before the controller's start is not its own, and what it did not fetch is lost.
TEST_F(PortHardware, ABurstDoesNotOutliveARestart) {
  std::vector<std::uint32_t> seen;
  told_.step = [&](const sillion_input& in, sillion_output&) { seen.push_back(in.burst_count); };
  ControllerPort tested = port();
  tested.hand_over(burst_from(100));
  tested.stop(Instant{} + microseconds(500), changes_);
  tested.hand_over(burst_from(200));
  tested.restart(at_ms(2), SILLION_RESET_WATCHDOG, sim::bench::Retained::kKept);
  tested.run_until(at_ms(3) + microseconds(1), {}, changes_);
  tested.hand_over(burst_from(1999));
  tested.run_until(at_ms(4) + microseconds(1), {}, changes_);
  tested.hand_over(burst_from(2000));
  tested.run_until(at_ms(5) + microseconds(1), {}, changes_);
  EXPECT_EQ(seen, (std::vector<std::uint32_t>{0, 0, 3}));
}

}  // namespace
