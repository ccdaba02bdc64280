// The storage part behind a port: commands of the controller, their ends, and power losses.
#include <fmt/format.h>

#include <algorithm>

#include "sim/bench/controller_port.h"
#include "sim/text/input_error.h"

namespace sim::bench {
namespace {

// In place of a page to read: none, or a write that an earlier start began and nobody hears of.
constexpr std::int64_t kNoPage = -1;
constexpr std::int64_t kWriteOfEarlierStart = -2;

}  // namespace

void ControllerPort::open_storage(const StorageSetup& setup) {
  const std::size_t bytes = std::size_t{hardware_.storage_pages} * SILLION_PAGE_BYTES;
  if (!setup.image.empty() && setup.image.size() != bytes)
    throw text::InputError(fmt::format(
        "controller.storage: the image has {} bytes; the controller's storage has {} ({} pages of "
        "{} bytes)",
        setup.image.size(), bytes, hardware_.storage_pages, int{SILLION_PAGE_BYTES}));
  storage_ = Storage(setup, hardware_.storage_pages);
}

void ControllerPort::fill_storage_input() {
  std::uint32_t page = 0;
  const sillion_storage_command ended = storage_.finish_by(at_, page);
  const bool own = page_to_read_ != kWriteOfEarlierStart;
  if (ended != SILLION_STORAGE_NONE && own) {
    input_.storage_done = ended;
    input_.storage_page = page;
  } else if (page_to_read_ >= 0) {
    input_.storage_done = SILLION_STORAGE_READ;
    input_.storage_page = static_cast<std::uint32_t>(page_to_read_);
    const StoragePage& read = storage_.page(input_.storage_page);
    std::copy(read.begin(), read.end(), input_.storage);
  }
  if (own || !storage_.busy()) page_to_read_ = kNoPage;
  input_.storage_busy = storage_.busy() ? 1 : 0;
  input_.storage_refused = storage_refused_;
  storage_refused_ = SILLION_STORAGE_NONE;
}

void ControllerPort::take_storage_command() {
  const std::uint32_t command = output_.storage_command;
  if (command == SILLION_STORAGE_NONE) return;
  if (storage_.busy()) {
    storage_refused_ = command;
  } else if (command == SILLION_STORAGE_READ) {
    page_to_read_ = static_cast<std::int64_t>(output_.storage_page);
  } else {
    storage_.begin(static_cast<sillion_storage_command>(command), output_.storage_page,
                   output_.storage, at_);
  }
}

void ControllerPort::refuse_storage_command() const {
  const std::uint32_t command = output_.storage_command;
  if (command == SILLION_STORAGE_NONE) return;
  if (command > SILLION_STORAGE_PROGRAM)
    fault(fmt::format("gave a storage command that the interface does not have ({})", command));
  if (output_.storage_page >= hardware_.storage_pages)
    fault(fmt::format("uses storage page {} of {}", output_.storage_page, hardware_.storage_pages));
}

/// The part goes on by itself unless its power fails; nobody hears of what ends meanwhile.
void ControllerPort::stop_storage(shared::Instant at, bool power_lost) {
  if (power_lost) storage_.lose_power(at);
  page_to_read_ = storage_.busy() ? kWriteOfEarlierStart : kNoPage;
  storage_refused_ = SILLION_STORAGE_NONE;
}

}  // namespace sim::bench
