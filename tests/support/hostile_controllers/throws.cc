// Controllers that throw: the interface is C, so nothing catches.
#include <stdexcept>

#include "tests/support/hostile_controllers/mischief.h"

namespace {

void throw_number(const mischief_call*) { throw 42; }
void throw_error(const mischief_call*) { throw std::runtime_error("the hopper is empty"); }

}  // namespace

extern "C" {
extern const mischief throws_a_number;
extern const mischief throws_an_error;
const mischief throws_a_number = {nullptr, nullptr, nullptr, throw_number};
const mischief throws_an_error = {nullptr, nullptr, nullptr, throw_error};
}
