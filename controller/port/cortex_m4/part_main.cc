// The controller on a bare Cortex-M4F: start-up, and a loop that does what the host asks.
//
//   start-up    vectors, data and bss, floating-point unit on, the processor's own timer running
//   a call      the stack below is painted, the controller's function runs between two looks at
//               the timer, the paint that is left tells how deep it went
//
// The emulator lets its clock run by instructions (`-icount shift=10`: 1024 ns each), and the timer
// counts that clock at 25 MHz, so an instruction is 25.6 counts.
#include <cstddef>
#include <cstdint>

#include "controller/port/cortex_m4/part_exchange.h"
#include "controller/port/cortex_m4/part_semihosting.h"

extern "C" {
extern std::uint32_t part_stack_top;
extern std::uint32_t part_stack_bottom;
extern std::uint32_t part_data_from;
extern std::uint32_t part_data_begin;
extern std::uint32_t part_data_end;
extern std::uint32_t part_bss_begin;
extern std::uint32_t part_bss_end;
[[noreturn]] void part_reset();
[[noreturn]] void part_fault();
}

namespace part {
namespace {

constexpr std::uint32_t kPaint = 0xA5A5'A5A5u;
constexpr std::uint32_t kPaintedBytes = 8 * 1024;

volatile std::uint32_t& reg(std::uintptr_t address) {
  return *reinterpret_cast<volatile std::uint32_t*>(address);
}
volatile std::uint32_t& access_control() { return reg(0xE000'ED88); }  // CPACR
volatile std::uint32_t& tick_control() { return reg(0xE000'E010); }
volatile std::uint32_t& tick_reload() { return reg(0xE000'E014); }
volatile std::uint32_t& tick_value() { return reg(0xE000'E018); }

constexpr std::uint32_t kTickMost = 0x00FF'FFFF;

alignas(8) unsigned char block[kMostBlockBytes];
unsigned char storage[kMostStorageBytes];
sillion_config config;
sillion_input input;
sillion_output output;

/// Nanoseconds of the emulator's clock per instruction over those of a count, as a fraction.
std::uint32_t instructions_of(std::uint32_t counts) {
  return static_cast<std::uint32_t>(std::uint64_t{counts} * 40 / 1024);
}

/// The stack below this frame, from its deepest painted word on.
std::uint32_t* painted_from(std::uint32_t* here) { return here - kPaintedBytes / 4; }

/// Runs `body` and fills in what it took.
template <typename Body>
[[gnu::noinline]] void measured(Answer& answer, const Body& body) {
  // Room for this function's own frame; what lies further down is the callee's.
  auto* const here = static_cast<std::uint32_t*>(__builtin_frame_address(0)) - 16;
  for (std::uint32_t* word = painted_from(here); word < here; ++word) *word = kPaint;
  const std::uint32_t before = tick_value();
  body();
  const std::uint32_t after = tick_value();
  answer.instructions = instructions_of((before - after) & kTickMost);
  const std::uint32_t* deepest = painted_from(here);
  while (deepest < here && *deepest == kPaint) ++deepest;
  answer.stack_bytes = static_cast<std::uint32_t>(here - deepest) * 4;
}

void answer_hello(std::uint32_t to) {
  Hello hello;
  hello.row = *sillion_describe(SILLION_ROLE_ROW);
  hello.machine = *sillion_describe(SILLION_ROLE_MACHINE);
  write_all(to, &hello, sizeof hello);
}

void start(const Request& request, std::uint32_t from, std::uint32_t to) {
  read_all(from, &config, sizeof config);
  read_all(from, block, request.block_bytes);
  read_all(from, storage, request.storage_bytes);
  Answer answer;
  measured(answer, [&] {
    const void* retained = request.retained != 0 ? block : nullptr;
    const void* pages = request.storage_bytes != 0 ? storage : nullptr;
    answer.good = sillion_init(block, request.block_bytes, &config, retained,
                               request.retained != 0 ? request.block_bytes : 0, pages,
                               request.storage_bytes) != nullptr;
  });
  write_all(to, &answer, sizeof answer);
  write_all(to, block, request.block_bytes);
}

void step(const Request& request, std::uint32_t from, std::uint32_t to) {
  read_all(from, &input, sizeof input);
  read_all(from, block, request.block_bytes);
  output = {};
  Answer answer;
  measured(answer,
           [] { sillion_step(reinterpret_cast<sillion_controller*>(block), &input, &output); });
  answer.good = 1;
  write_all(to, &answer, sizeof answer);
  write_all(to, &output, sizeof output);
  write_all(to, block, request.block_bytes);
}

/// The two files whose names the command line holds, behind the name of the program.
void open_both(std::uint32_t& from, std::uint32_t& to) {
  constexpr std::uint32_t kGetCommandLine = 0x15;
  static char line[512];
  std::uint32_t arguments[] = {static_cast<std::uint32_t>(reinterpret_cast<std::uintptr_t>(line)),
                               sizeof line - 1};
  if (semihost(kGetCommandLine, arguments) != 0) leave();
  char* words[3] = {line, nullptr, nullptr};
  int count = 1;
  for (char* at = line; *at != '\0'; ++at) {
    if (*at != ' ') continue;
    *at = '\0';
    if (count < 3) words[count++] = at + 1;
  }
  if (count < 3) leave();
  from = open_file(words[1], OpenFor::kReading);
  to = open_file(words[2], OpenFor::kWriting);
}

[[noreturn]] void serve() {
  std::uint32_t from = 0;
  std::uint32_t to = 0;
  open_both(from, to);
  while (true) {
    Request request;
    read_all(from, &request, sizeof request);
    if (request.block_bytes > kMostBlockBytes || request.storage_bytes > kMostStorageBytes) leave();
    if (request.operation == kHello) answer_hello(to);
    if (request.operation == kStart) start(request, from, to);
    if (request.operation == kStep) step(request, from, to);
  }
}

}  // namespace
}  // namespace part

extern "C" void part_fault() { part::leave(); }

extern "C" void part_reset() {
  // The floating-point unit comes first: a compiler may use its registers for copies.
  part::access_control() = part::access_control() | 0x00F0'0000u;
  asm volatile("dsb\n isb" ::: "memory");
  const std::uint32_t* from = &part_data_from;
  for (std::uint32_t* to = &part_data_begin; to < &part_data_end; ++to) *to = *from++;
  for (std::uint32_t* to = &part_bss_begin; to < &part_bss_end; ++to) *to = 0;
  part::tick_reload() = part::kTickMost;
  part::tick_value() = 0;
  part::tick_control() = 5;  // of the processor's clock, without interrupt
  part::serve();
}

using Handler = void (*)();
struct Vectors {
  std::uint32_t* stack;
  Handler handlers[15];
};
[[gnu::section(".vectors"), gnu::used]] const Vectors part_vectors = {
    &part_stack_top,
    {part_reset, part_fault, part_fault, part_fault, part_fault, part_fault, part_fault, part_fault,
     part_fault, part_fault, part_fault, part_fault, part_fault, part_fault, part_fault}};
