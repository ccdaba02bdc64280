// What stands around a controller in the module: it is the reference, linked in, and a browser
// already keeps the module's memory apart and ends a call that crashes. So nothing guards a call
// here, and there is no other controller to load.
#include <algorithm>
#include <memory>
#include <string>

#include "sim/bench/apart_host.h"
#include "sim/bench/controller_library.h"
#include "sim/bench/guarded_call.h"
#include "sim/bench/guarded_memory.h"
#include "sim/text/input_error.h"

namespace sim::bench {

CallEnd guarded_call(void (*body)(void*), void* context) {
  body(context);
  return {};
}

std::string exception_words() { return {}; }
std::string fault_words(const CallEnd&) { return {}; }

GuardedMemory::GuardedMemory(std::size_t bytes) : size_(bytes), room_bytes_((bytes + 7) / 8 * 8) {
  room_ = data_ = static_cast<unsigned char*>(std::calloc(room_bytes_, 1));
}
GuardedMemory::~GuardedMemory() { std::free(room_); }
bool GuardedMemory::fences_whole() const { return true; }
bool GuardedMemory::beside(const void*) const { return false; }
void GuardedMemory::clear() { std::fill_n(data_, size_, static_cast<unsigned char>(0)); }

ControllerLibrary reference_controller() {
  return {&sillion_describe, &sillion_init, &sillion_step};
}

ControllerLibrary load_controller(const std::string& file) {
  throw text::InputError(file + ": the row's module runs the reference controller only");
}

std::unique_ptr<ControllerHost> make_host_apart(const std::string& library, int) {
  throw text::InputError(library + ": the row's module has no other process");
}

}  // namespace sim::bench
